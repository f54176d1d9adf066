"""The one door to the disk: every write, exchange and delete of this package goes through here."""
