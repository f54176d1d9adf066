"""What commands share: the options and values they are told, houses they read, files they write."""
