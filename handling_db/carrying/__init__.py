"""What forks, floors, ways, pallets and hands get, as plain figures; knows no record."""
