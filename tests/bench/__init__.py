"""How fast it is, always as a ratio to a floor that is measured in turn with it.

    python -m pytest tests/bench -n 0

takes some four minutes on a quiet machine, ends with the table below; `-k key` runs one of them.
A plain `pytest` leaves this folder out: no test fails for being slow. What does fail here are facts
that do not hang on the machine: the first frame is the whole one, a key costs one frame, an answer
two syncs at most, a command without a screen imports no Textual.

Seen on two shared cores, Python 3.11, Textual 8.2 (thing : floor, medians):

    what                                  ratio  target  floor
    first paint, home with 10 sessions     1.16    1.3   an empty Textual app
    first paint, half-walked session       1.38    1.5   the same; 1.3 to 1.6 while others work
    memory, home; half-walked session   1.07, 1.19 1.5   the same, resident after the first paint
    checkrun --version, python -m; script 1.4, 1.6 2.5   python -c pass
    result key to next check, median       1.0     1.5   a bare list, 120 rows; 0.9 to 1.4
    result key to next check, p99          0.4     2     the same; 0.4 to 1.2
    the key at 10,000 checks               1.1     1.2   the key at 300 checks
    an answer on disk, 300 events          8.3    13     300 bytes appended and synced
    an answer on disk, 3,000 events         43     -     the same; the file is written whole
    300 checks read and checked            0.8     1.3   yaml.load with the C reader
    300 checks from the cache              0.07    0.3   the same
    one reading judged, of 21 kinds    0.01 to 0.70  1   a millisecond, the only one without a floor
    key in the reading field, median       1.25    1.3   a bare Input
    key in the reading field, p90          1.26    1.3   the same
    the same key, median and p90           0.2     1.3   an Input whose text a Static repeats
    checkrun judge, JSON; YAML           4.2, 4.8  6     python -c pass
    the same with a published limit      3.9, 5.7  6     the same
    claims after a changed answer, median  0.9     1.5   a bare list; 1.1 while others work
    20 claims over 300 checks weighed       3.3     30   ms; 20 to 34 where each check speaks of all
    40 items priced by a process           0.07     1    the same sum in numpy and scipy
    slowest shipped route planned, ms     200-280  300   every one proven best; 51 stations
    60 stations planned, ms             1090-1240 2000   at most 1.0 to 1.3 % off the best
    10, 13, 16 stations            0.15, 0.11, 0.05 1    CP-SAT of OR-Tools, both proven
    lint of all shipped routes          1.6 to 1.9  2    the same files by the C reader
    editor checks 300 checks, ms          25-34    50    38 to 52 for the shipped routes

Starts and keys are measured from outside, through a pseudo-terminal: from the start of the process
or the write of the key to the read that holds the last byte of the frame. A key to be judged
counts until its judgement is painted, which is in the frame that shows the key itself.
"""
