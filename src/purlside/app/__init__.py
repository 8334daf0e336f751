"""The app: screens and widgets that ask the engine and hold nothing that could be asked for."""
