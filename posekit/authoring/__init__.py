"""What a builder does to a prop: each function takes a prop, or what an importer gave, and gives a new prop."""
