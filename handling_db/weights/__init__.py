"""Mass up the tree: tree, witnesses, totals, centres, parts against whole."""
