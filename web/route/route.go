// Package route builds every address of the program, so that no template or handler spells a path of its own.
// Each noun has a file here; this one holds the five places of the navigation and what belongs to no noun.
package route

// Today is the first page: what to do now.
func Today() string { return "/" }

// Plan is the dated plan of the coming sessions.
func Plan() string { return "/plan" }

// Cars lists the cars.
func Cars() string { return "/cars" }

// Parts lists the parts and finds one.
func Parts() string { return "/parts" }

// More lists every other place.
func More() string { return "/more" }

// Theme takes the choice of light, dark or the device's own by POST (fields theme and back).
func Theme() string { return "/theme" }

// Static is the prefix under which style sheets, scripts and pictures are served.
func Static() string { return "/static/" }

// Worker is the script that answers for this server while there is no connection.
func Worker() string { return "/worker.js" }
