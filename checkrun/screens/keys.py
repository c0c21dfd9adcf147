"""Every key of every screen, in one table: bindings, hints, the help screen and the docs read it.

One hand and gloves: what is done often is one key without a chord. Nothing hangs on Escape, Alt or
a key that a terminal multiplexer takes. The ids let a person give an action another key.
"""

from __future__ import annotations

from collections.abc import Mapping

from textual.binding import Binding

#: The keys that open the reading field with what they type.
READING_STARTERS = (*"0123456789", "minus", "full_stop")


def key(
    keys: str, action: str, says: str, tooltip: str, name: str, *, priority: bool = False
) -> Binding:
    """One binding: a few words for the hints, a sentence for the help."""
    return Binding(keys, action, says, id=name, tooltip=tooltip, priority=priority)


ANYWHERE = (
    key("question_mark,f1", "screen.help", "help", "Show every key of this screen.", "any.help"),
    key(
        "f2",
        "app.next_theme",
        "colours",
        "Change colours: dark, light, high contrast.",
        "any.theme",
    ),
    key(
        "f3",
        "app.next_units",
        "units",
        "Take bare numbers in the route's units, in metric or in US ones.",
        "any.units",
    ),
)

HOME = (
    key("n", "start", "start a walk", "Choose a route and start a walk.", "home.start"),
    key("enter", "open", "open", "Go on with the walk, or look at the finished one.", "home.open"),
    key("r", "routes", "routes", "Browse the routes and read them.", "home.routes"),
    key("q", "quit", "quit", "Leave checkrun. Everything is kept.", "home.quit"),
)

WALK = (
    key("p", "answer('pass')", "pass", "Record a pass and go on.", "walk.pass"),
    key("c", "answer('concern')", "concern", "Record a concern and go on.", "walk.concern"),
    key("f", "answer('fail')", "fail", "Record a fail and go on.", "walk.fail"),
    key("x", "not_examined", "not examined", "Record why it was not examined.", "walk.x"),
    key(
        "n", "note", "note", "Write a note to this check, in several lines if need be.", "walk.note"
    ),
    key(
        "r",
        "reading",
        "reading",
        "Type a reading; a digit opens the field too. Enter or Escape leaves it.",
        "walk.reading",
    ),
    key(
        "a", "accept", "as judged", "Record what the reading was judged, and go on.", "walk.accept"
    ),
    key(
        "s",
        "set_aside",
        "set aside",
        "Leave this check for later. It comes back before you leave the station, and again at "
        "the end, by the shortest way from where you then stand.",
        "walk.aside",
    ),
    key("right", "step(1)", "next", "Step to the next check.", "walk.right"),
    key("left", "step(-1)", "back", "Step to the check before.", "walk.left"),
    key("u", "undo", "undo", "Take back what was entered last.", "walk.undo"),
    key("m", "summary", "summary", "See what came out so far, worst first.", "walk.summary"),
    key("k", "claims", "claims", "See how sure one may be of each claim so far.", "walk.claims"),
    key("b", "bill", "bill", "See what it costs, and the most to pay.", "walk.bill"),
    key("q", "leave", "leave", "Leave the walk. Everything is kept.", "walk.leave"),
    key(
        "g",
        "nearest",
        "nearest",
        "Go to the nearest open check from here: the one that takes the least time to get to, "
        "on foot and with changes of the car's state.",
        "walk.nearest",
    ),
    key(
        "e",
        "from_here",
        "from here",
        "See what else can be done from this spot, as the car is and with bonnet or boot opened.",
        "walk.from-here",
    ),
    key("j", "jump", "jump", "Go to a check or station by a few letters.", "walk.jump"),
    key(
        "t",
        "state",
        "car's state",
        "Change the car's state: lift, wheels, bonnet, boot, engine.",
        "walk.state",
    ),
    key(
        "w",
        "countdown",
        "countdown",
        "Start or stop the countdown of a reading taken over time.",
        "walk.countdown",
    ),
    key("y", "redo", "redo", "Bring back what was undone.", "walk.redo"),
    key("down,space", "scroll(1)", "more text", "Scroll the text of the check down.", "walk.down"),
    key("up", "scroll(-1)", "text up", "Scroll the text of the check up.", "walk.up"),
    key("v", "view", "view", "See the car from above or from below.", "walk.view"),
    key(
        "f5",
        "take_route",
        "take route",
        "Go on with the changed version of the route.",
        "walk.take",
    ),
    # With priority, so that a hand-held presenter steps on while the reading field is open; the
    # arrows have none, for in that field they move the cursor.
    key(
        "pagedown",
        "step(1)",
        "next",
        "Step to the next check, even while a reading is typed.",
        "walk.forward",
        priority=True,
    ),
    key(
        "pageup",
        "step(-1)",
        "back",
        "Step to the check before, even while a reading is typed.",
        "walk.back",
        priority=True,
    ),
)

SUMMARY = (
    key("enter", "go", "to the check", "Go to this check; m brings you back here.", "summary.go"),
    key("k", "claims", "claims", "See how sure one may be of each claim.", "summary.claims"),
    key("b", "bill", "bill", "See what it costs, and the most to pay.", "summary.bill"),
    key("s", "sign", "sign off", "Sign the session off with your name.", "summary.sign"),
    key(
        "plus",
        "rank(-1)",
        "higher",
        "Put this finding before the one above, with a reason.",
        "summary.higher",
    ),
    key(
        "minus",
        "rank(1)",
        "lower",
        "Put this finding behind the one below, with a reason.",
        "summary.lower",
    ),
    key("0", "rank(0)", "by rule", "Let the rules place this finding again.", "summary.rule"),
    key(
        "o", "reopen", "open again", "Open a signed session again, with a reason.", "summary.reopen"
    ),
    key("w,m", "walk", "walk", "Go back to the walk.", "summary.walk"),
    key("space", "scroll(1)", "more text", "Scroll the text of the marked row.", "summary.more"),
    key("q", "leave", "leave", "Leave the summary.", "summary.leave"),
)

CLAIMS = (
    key(
        "enter,g",
        "go",
        "look there next",
        "Go to the check that would tell most of this claim.",
        "claims.go",
    ),
    key("k,w,q,escape", "leave", "back", "Go back.", "claims.leave"),
    key("b", "bill", "bill", "See what it costs, and the most to pay.", "claims.bill"),
    key(
        "e",
        "believe",
        "before looking",
        "Say how likely it is before anything was looked at.",
        "claims.believe",
    ),
    key("space,pagedown", "scroll(1)", "more text", "Scroll the signs down.", "claims.more"),
    key("down", "mark(1)", "next claim", "Mark the next claim.", "claims.down"),
    key("up", "mark(-1)", "claim before", "Mark the claim before.", "claims.up"),
    key("u", "undo", "undo", "Take back what was entered last.", "claims.undo"),
    key("y", "redo", "redo", "Bring back what was undone.", "claims.redo"),
    key("pageup", "scroll(-1)", "text up", "Scroll the signs up.", "claims.less"),
)

BILL = (
    key("a", "term('asking')", "asking price", "Enter the price asked.", "bill.asking"),
    key("h", "cost('hours')", "hours", "Enter hours of your own for this item.", "bill.hours"),
    key("p", "cost('parts')", "parts", "Enter a price of parts for this item.", "bill.parts"),
    key("s", "seller", "seller", "Say that the seller puts this right, or not.", "bill.seller"),
    key("b,w,q,escape", "leave", "back", "Go back.", "bill.leave"),
    key("k", "claims", "claims", "See how sure one may be of each claim.", "bill.claims"),
    key("space,pagedown", "scroll(1)", "more text", "Scroll the sums down.", "bill.more"),
    key(
        "c",
        "cost('chance')",
        "chance",
        "Say how likely this item has to be put right.",
        "bill.chance",
    ),
    key("r", "term('rate')", "rate", "Enter what an hour of work costs you.", "bill.rate"),
    key("m", "term('margin')", "margin", "Enter what must be left over.", "bill.margin"),
    key("enter,g", "go", "to the check", "Go to the marked check.", "bill.go"),
    key("u", "undo", "undo", "Take back what was entered last.", "bill.undo"),
    key(
        "v",
        "term('value')",
        "value",
        "Enter what it is worth if all is as said, where that is not the price asked.",
        "bill.value",
    ),
    key(
        "e",
        "term('percentile')",
        "how safe",
        "Choose how many of a hundred such cars must cost less than is taken off.",
        "bill.percentile",
    ),
    key(
        "o",
        "term('correlation')",
        "together",
        "Say how far the costs go together, 0 to 1.",
        "bill.correlation",
    ),
    key("d", "term('currency')", "currency", "Enter the sign of the currency.", "bill.currency"),
    key("down", "mark(1)", "down", "Mark the next item.", "bill.down"),
    key("up", "mark(-1)", "up", "Mark the item before.", "bill.up"),
    key("y", "redo", "redo", "Bring back what was undone.", "bill.redo"),
    key("pageup", "scroll(-1)", "text up", "Scroll the sums up.", "bill.less"),
)

ROUTES = (
    key("enter", "choose", "choose", "Start a walk on this route.", "routes.choose"),
    key(
        "b,right",
        "browse",
        "browse",
        "Go through the route station by station, with the plan of the car.",
        "routes.browse",
    ),
    key(
        "d",
        "dry_run",
        "dry run",
        "Walk it with invented answers to feel its rhythm; nothing is kept.",
        "routes.dry",
    ),
    key("e", "edit", "edit", "Change the file of the route.", "routes.edit"),
    key("q", "leave", "back", "Go back.", "routes.leave"),
    key("r", "read", "read", "Read the route in walking order.", "routes.read"),
)

BROWSE = (
    key("down", "check(1)", "next check", "Go to the next check.", "browse.down"),
    key("right", "station(1)", "next station", "Go to the next station.", "browse.right"),
    key(
        "y",
        "year",
        "model year",
        "Go on to the next model years that are walked in another way, then to all again.",
        "browse.year",
    ),
    key("w", "walk", "walk", "Start a walk on it.", "browse.walk"),
    key(
        "d",
        "dry_run",
        "dry run",
        "Walk it with invented answers to feel its rhythm; nothing is kept.",
        "browse.dry",
    ),
    key("e", "edit", "edit", "Change the file of the route.", "browse.edit"),
    key("q,escape", "leave", "back", "Go back to the routes.", "browse.leave"),
    key("j,slash", "jump", "jump", "Go to a check or station by a few letters.", "browse.jump"),
    key("space,pagedown", "scroll(1)", "more text", "Scroll the check down.", "browse.more"),
    key("r", "read", "read", "Read it from the first station to the last.", "browse.read"),
    key("up", "check(-1)", "check before", "Go to the check before.", "browse.up"),
    key("left", "station(-1)", "station before", "Go to the station before.", "browse.left"),
    key("v", "view", "view", "See the car from above or from below.", "browse.view"),
    key("pageup", "scroll(-1)", "text up", "Scroll the check up.", "browse.less"),
)

#: Beside those of a walk, which all work too.
DRYRUN = (
    key(
        "enter",
        "invent",
        "invented answer",
        "Record an invented answer for this check and go on. All keys of a walk work too.",
        "dry.invent",
    ),
    key(
        "o",
        "run",
        "on its own",
        "Let it go on its own, an answer a second; again to stop. A safety stop waits for you.",
        "dry.run",
    ),
)

READER = (
    key("pagedown,space", "page(1)", "on", "Turn a page on.", "reader.on"),
    key("pageup", "page(-1)", "back", "Turn a page back.", "reader.back"),
    key("down", "line(1)", "down", "One line down.", "reader.down"),
    key("up", "line(-1)", "up", "One line up.", "reader.up"),
    key("q,escape", "leave", "close", "Close this text.", "reader.leave"),
)

INTAKE = (
    key("f10", "go", "go on", "Go on when the answers are right.", "intake.go"),
    key("f9", "leave", "back", "Go back without starting a walk.", "intake.leave"),
)

BRIEF = (
    key("enter", "go", "start walking", "Start the walk.", "brief.go"),
    key("q,escape", "leave", "back", "Go back to the questions.", "brief.leave"),
)

STOP = (
    key("y", "confirm", "done and safe", "Say that it is done and safe.", "stop.confirm"),
    key("b,left,escape", "back", "back", "Go back to where you were.", "stop.back"),
    key(
        "x",
        "cannot",
        "can't be done",
        "Record every check that needs it as not examined.",
        "stop.cannot",
    ),
)

#: With priority where the text area has the key for something else.
EDITOR = (
    key(
        "f10,ctrl+s",
        "save",
        "save",
        "Save the file in one step; what it held is kept beside it.",
        "editor.save",
        priority=True,
    ),
    key(
        "f4",
        "next_problem",
        "next problem",
        "Go to the next problem, and list them all.",
        "editor.problem",
        priority=True,
    ),
    key(
        "f5",
        "preview",
        "preview",
        "See the check at the cursor as the mechanic will.",
        "editor.preview",
        priority=True,
    ),
    key(
        "f6",
        "differences",
        "differences",
        "See what differs from the route below, or from the shipped one.",
        "editor.differences",
        priority=True,
    ),
    key("f7", "find", "find", "Find words; the same again goes on.", "editor.find", priority=True),
    key(
        "f8",
        "more",
        "list on",
        "Read on in what stands beside the text; from its end to its top.",
        "editor.more",
        priority=True,
    ),
    key("f9", "leave", "leave", "Close the file.", "editor.leave", priority=True),
    key(
        "f12,ctrl+o",
        "follow",
        "open it",
        "Open the piece or the route that the line at the cursor names.",
        "editor.follow",
        priority=True,
    ),
)

UNSAVED = (
    key("s", "save", "save and leave", "Save the file and close it.", "unsaved.save"),
    key("d", "drop", "leave without", "Close the file as it is on disk.", "unsaved.drop"),
    key("escape,b,f9", "back", "go back", "Go on writing.", "unsaved.back"),
)

ASK = (
    key("enter", "done", "done", "Take what is written.", "ask.done"),
    key("escape,f9", "back", "go back", "Go back; nothing is done.", "ask.back"),
)

STATE = (
    key("enter", "choose", "change it", "Change the marked part.", "state.choose"),
    key("escape,b,q", "back", "go back", "Leave the car as it is.", "state.back"),
)

JUMP = (
    key("enter", "go", "go there", "Go to the marked line.", "jump.go"),
    key("down", "mark(1)", "down", "Mark the next line.", "jump.down"),
    key("up", "mark(-1)", "up", "Mark the line before.", "jump.up"),
    key("escape,f9", "back", "go back", "Stay where you are.", "jump.back"),
)

FROM_HERE = (
    key("enter", "go", "go there", "Go to the marked check.", "from-here.go"),
    key("down", "mark(1)", "down", "Mark the next check.", "from-here.down"),
    key("up", "mark(-1)", "up", "Mark the check before.", "from-here.up"),
    key("b,left,escape,q,e", "back", "go back", "Stay where you are.", "from-here.back"),
)

MESSAGE = (key("enter,q,escape", "close", "go on", "Close the message.", "message.close"),)

NOTE = (
    key("f10,escape", "keep", "keep it", "Keep the note and go on.", "note.keep"),
    key("f9", "drop", "as it was", "Leave the note as it was.", "note.drop"),
)

REASON = (
    key("enter", "choose", "choose", "Choose the reason.", "reason.choose"),
    key("escape,b", "back", "go back", "Go back without a result.", "reason.back"),
)

RECOVER = (
    key("y", "recover", "save what can be read", "Make a new session of it.", "recover.yes"),
    key("b,escape,q", "back", "go back", "Leave it as it is.", "recover.back"),
)

#: The screens' names and tables, in the order of the help.
BY_SCREEN = {
    "Home": HOME,
    "Walk": WALK,
    "Before a station": STOP,
    "Summary": SUMMARY,
    "Claims": CLAIMS,
    "Bill": BILL,
    "Routes": ROUTES,
    "Browsing a route": BROWSE,
    "Dry run": DRYRUN,
    "Questions about the car": INTAKE,
    "Before you start": BRIEF,
    "Writing a route": EDITOR,
    "Changes that are not saved": UNSAVED,
    "Asked for one line": ASK,
    "The car's state": STATE,
    "Going to a check": JUMP,
    "What else is done from here": FROM_HERE,
    "A message": MESSAGE,
    "Writing a note": NOTE,
    "Giving a reason": REASON,
    "A damaged session": RECOVER,
    "Reading a text": READER,
    "Everywhere": ANYWHERE,
}

#: The names by which a person's settings can give actions other keys.
IDS = frozenset(binding.id for table in BY_SCREEN.values() for binding in table if binding.id)


def shown(binding: Binding, chosen: Mapping[str, str], arrows: Mapping[str, str]) -> str:
    """A binding's keys as a person reads them.

    Args:
        binding: One of the tables above.
        chosen: The keys the person chose instead, by the binding's id.
        arrows: What the arrow keys are called.
    """
    names = {
        **arrows,
        "question_mark": "?",
        "slash": "/",
        "plus": "+",
        "minus": "-",
        "pagedown": "Page Down",
        "pageup": "Page Up",
        "enter": "Enter",
        "escape": "Esc",
        "space": "Space",
    }
    return " or ".join(
        names.get(name, name.upper() if name[0] == "f" and len(name) > 1 else name)
        for name in chosen.get(binding.id or "", binding.key).split(",")
    )
