package route

// Part is the page of one part.
func Part[T ~int64](id T) string { return in("/parts", id) }
