package route

// Settings shows and saves the owner's choices for the whole garage.
func Settings() string { return "/settings" }
