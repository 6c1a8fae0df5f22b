package page

import (
	_ "embed"
	"strings"
)

// zones.txt lists the names of the time zone database's zone.tab and zone1970.tab (public domain), and UTC.
//
//go:embed zones.txt
var zoneNames string

// Zones are the time zones to choose from, by name.
func Zones() []string { return strings.Fields(zoneNames) }
