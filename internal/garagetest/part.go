package garagetest

import (
	"time"

	"axlestand/internal/garage"
)

// Part is a handed one that can be ordered.
func Part(changes ...func(*garage.Part)) garage.Part {
	return with(garage.Part{
		Version:      1,
		Name:         "Trailing arm",
		Number:       "QL 33-1042 B",
		OtherNumbers: "QL 33-1042 A, 77.041/2",
		Side:         "left",
		Grade:        "maker",
		Unit:         "piece",
		Supplier:     "Quill & Lathe",
		Price:        18950,
		Currency:     "EUR",
		LeadLow:      new(3),
		LeadLikely:   new(5),
		LeadHigh:     new(12),
	}, changes)
}

// Bin is one on the shelf at the back wall.
func Bin(changes ...func(*garage.Bin)) garage.Bin {
	return with(garage.Bin{Version: 1, Name: "A3", Place: "back wall, third from the top"}, changes)
}

// Arrival is of four pieces about 15 March 2027.
func Arrival(changes ...func(*garage.Arrival)) garage.Arrival {
	return with(garage.Arrival{
		Version:  1,
		Quantity: 4,
		Low:      garage.NewDate(2027, time.March, 12),
		Likely:   garage.NewDate(2027, time.March, 15),
		High:     garage.NewDate(2027, time.March, 22),
		Supplier: "Quill & Lathe",
	}, changes)
}

// DonorPart are two pieces in good condition.
func DonorPart(changes ...func(*garage.DonorPart)) garage.DonorPart {
	return with(garage.DonorPart{Version: 1, Quantity: 2, Condition: "good"}, changes)
}
