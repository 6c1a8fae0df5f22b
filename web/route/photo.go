package route

// Photos are the photos of a thing whose page is at of, and takes further ones by POST (fields photo and note).
func Photos(of string) string { return of + "/photos" }

// PhotosOfStep are the photos of a step.
func PhotosOfStep[T ~int64](step T) string { return Photos("/steps/" + number(step)) }

// PhotosOfArrival are the photos of an arrival.
func PhotosOfArrival[T ~int64](arrival T) string { return Photos("/arrivals/" + number(arrival)) }

// PhotoFile is a photo as it is kept.
func PhotoFile[T ~int64](photo T) string { return "/photos/" + number(photo) }

// PhotoSmall is the small version of a photo.
func PhotoSmall[T ~int64](photo T) string { return PhotoFile(photo) + "/small" }

// PhotoUseDelete takes a photo away from what it shows by POST.
func PhotoUseDelete[T ~int64](use T) string { return "/photo-uses/" + number(use) + "/delete" }

// PhotoUseRestore brings it back by POST.
func PhotoUseRestore[T ~int64](use T) string { return "/photo-uses/" + number(use) + "/restore" }
