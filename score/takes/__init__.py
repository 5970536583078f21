"""What a player has done: readiness, tempi reached, places, kept so that no kill loses what was confirmed."""
