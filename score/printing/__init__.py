"""What every printed page needs: fonts and the page maker."""
