"""What the program can be asked, as functions over `Records`; `import handling_db as hd` has them all."""
