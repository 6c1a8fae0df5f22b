package garagetest

import "axlestand/internal/garage"

// Order is one of 2 March 2027, promised for the 9th, with 14 days to send things back.
func Order(changes ...func(*garage.Order)) garage.Order {
	promised := garage.NewDate(2027, 3, 9)
	return with(garage.Order{
		Version: 1, SupplierID: 1, Number: "H-204", OrderedOn: garage.NewDate(2027, 3, 2), PromisedOn: &promised, Currency: "EUR", Home: "EUR",
		Rate: garage.RateAtHome, Shipping: 1800, ReturnDays: new(14),
	}, changes)
}

// OrderLine is three pieces at 40.00.
func OrderLine(changes ...func(*garage.OrderLine)) garage.OrderLine {
	return with(garage.OrderLine{Version: 1, OrderID: 1, PartID: 1, Quantity: 3, Price: 4000, Per: 1}, changes)
}
