package exchange

import "axlestand/internal/garage"

// partLinks are what leads from a part to others: its twin and the cars that it fits.
func (r *demoReader) partLinks(parts []demoPart) {
	for _, p := range parts {
		id := r.parts[p.Name]
		if p.Twin != "" {
			r.out.Twins = append(r.out.Twins, garage.PartTwins{Left: id, Right: find(r, r.parts, p.Twin)})
		}
		for _, f := range p.Fits {
			r.out.Fits = append(r.out.Fits, garage.PartFit{
				ID: garage.PartFitID(len(r.out.Fits) + 1), PartID: id, CarID: find(r, r.cars, f.Car), Known: f.Known, Note: f.Note,
			})
		}
	}
}
