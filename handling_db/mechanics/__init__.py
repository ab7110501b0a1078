"""Plain statics: figures in, figures out; knows no record."""
