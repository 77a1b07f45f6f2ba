"""What practice on made-up tires does, through the plain face, its files, and the generator."""
