"""What to rehearse when: the group's rehearsals, and each player's own days before them."""
