package garagetest

import (
	"axlestand/internal/garage"
	"axlestand/internal/trade/deposit"
)

// Core is a deposit of 45.00 on a unit that was bought and is still on its car.
func Core(changes ...func(*garage.Core)) garage.Core {
	bought := garage.NewDate(2027, 3, 2)
	return with(garage.Core{
		Version: 1, PartID: 1, Supplier: "Harbour Motor Factors", OrderNumber: "H-204", Currency: "EUR", Deposit: 4500,
		WindowN: 30, WindowCount: deposit.CalendarDays, Basis: deposit.FromPurchase, BasisOn: &bought,
		Box: true, Drained: true, RefundN: new(45), RefundCount: deposit.CalendarDays, ReturnNumber: "R-77",
		State: deposit.Owed, Paid: 4500, Outstanding: 4500,
	}, changes)
}
