"""Routes: YAML files read strictly into a model, layers for model years, the walk order."""
