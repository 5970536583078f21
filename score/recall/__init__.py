"""By heart away from the stand: questions to listen to, cards, and look-alikes on paper."""
