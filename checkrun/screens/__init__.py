"""The screens: keys become calls on the core. Only this package knows textual."""
