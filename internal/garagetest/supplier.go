package garagetest

import (
	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

// Supplier takes things back for 14 days, and old units for 30 days from the purchase.
func Supplier(changes ...func(*garage.Supplier)) garage.Supplier {
	return with(garage.Supplier{
		Version: 1, Name: "Harbour Motor Factors", LeadLow: new(2), LeadLikely: new(4), LeadHigh: new(9), Currency: "EUR",
		Shipping: new(int64(790)), ReturnDays: new(14), CoreN: new(30), CoreCount: deposit.CalendarDays, CoreBasis: deposit.FromPurchase,
		Notes: "Customer 4471. Orders by ten leave the same day.",
	}, changes)
}
