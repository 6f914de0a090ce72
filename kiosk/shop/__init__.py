"""What is planned: procedures, parts, stock, tools and people, read from YAML and checked by line."""
