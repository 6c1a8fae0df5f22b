package page

import (
	"net/netip"
	"net/url"
	"slices"

	"axlestand/internal/garage"
	"axlestand/web/route"
	"axlestand/web/ui"
)

// BinLabelsView is a sheet of labels.
type BinLabelsView struct {
	Base
	Labels  []BinLabel
	Choices []ui.Option
	Chosen  []string
	Leads   string // where the codes lead
	Here    bool   // to this machine only: no phone can open them
}

// BinLabel is a label for a bin or a kit box.
type BinLabel struct {
	Name    string
	Place   string
	Kit     string // the job whose parts are gathered in it
	Address string
}

// NewBinLabels lays out the labels of the chosen bins, of all when none is chosen. origin is the scheme, name and port by which the
// owner reaches the program.
func NewBinLabels(base Base, origin string, bins []garage.BinRow, kits map[garage.BinID][]garage.JobLink, chosen []string) BinLabelsView {
	v := BinLabelsView{Base: base, Chosen: chosen, Leads: origin, Here: onlyHere(origin)}
	for _, b := range bins {
		id := idText(b.ID)
		v.Choices = append(v.Choices, ui.Option{Value: id, Text: b.Name, Hint: b.Place})
		if len(chosen) > 0 && !slices.Contains(chosen, id) {
			continue
		}
		l := BinLabel{Name: b.Name, Place: b.Place, Address: origin + route.Bin(b.ID)}
		for _, j := range kits[b.ID] {
			l.Kit = joined(", ", l.Kit, j.Title+" · "+j.CarName)
		}
		v.Labels = append(v.Labels, l)
	}
	return v
}

// onlyHere says that an address leads to the machine that asks it.
func onlyHere(origin string) bool {
	u, err := url.Parse(origin)
	if err != nil {
		return false
	}
	host := u.Hostname()
	addr, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && addr.IsLoopback()
}
