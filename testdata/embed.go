// Package testdata holds the demo garage.
package testdata

import _ "embed"

// Demo is the demo garage: names refer to each other, dates count in days from S, the first Saturday that is at least
// two days away.
//
//go:embed demo.json
var Demo []byte
