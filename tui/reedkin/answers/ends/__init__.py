"""What ended the reeds of each tube and of each lot; a part of what is told of tubes and of cane."""
