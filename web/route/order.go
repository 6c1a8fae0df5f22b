package route

// Orders lists the orders, and takes a new one by POST.
func Orders() string { return "/orders" }

// OrdersAll lists the orders of which nothing is expected any more too.
func OrdersAll(page string) string { return Orders() + "?show=all&page=" + page }

// OrdersOpen is a page of the orders of which something is still expected.
func OrdersOpen(page string) string { return Orders() + "?page=" + page }

// OrderNew is the form for an order.
func OrderNew() string { return Orders() + "/new" }

// OrderNewAt is that form for an order of a supplier.
func OrderNewAt[T ~int64](supplier T) string { return OrderNew() + "?supplier=" + number(supplier) }

// Order shows an order, and takes a changed one by POST.
func Order[T ~int64](id T) string { return in(Orders(), id) }

// OrderEdit is the form of an order.
func OrderEdit[T ~int64](id T) string { return Order(id) + "/edit" }

// OrderDelete deletes an order by POST.
func OrderDelete[T ~int64](id T) string { return Order(id) + "/delete" }

// OrderRestore brings a deleted order back by POST.
func OrderRestore[T ~int64](id T) string { return Order(id) + "/restore" }

// OrderLines takes a further line of an order by POST.
func OrderLines[T ~int64](order T) string { return Order(order) + "/lines" }

// OrderLineNew is the form for a line of an order.
func OrderLineNew[T ~int64](order T) string { return OrderLines(order) + "/new" }

// OrderLine takes a changed line by POST.
func OrderLine[T ~int64](id T) string { return in("/order-lines", id) }

// OrderLineEdit is the form of a line.
func OrderLineEdit[T ~int64](id T) string { return OrderLine(id) + "/edit" }

// OrderLineDelete takes a line off its order by POST.
func OrderLineDelete[T ~int64](id T) string { return OrderLine(id) + "/delete" }

// OrderLineRestore puts it back by POST.
func OrderLineRestore[T ~int64](id T) string { return OrderLine(id) + "/restore" }

// OrderLineCancel says by POST that what is still expected of a line does not come.
func OrderLineCancel[T ~int64](id T) string { return OrderLine(id) + "/cancel" }

// OrderLineExpect expects it again by POST.
func OrderLineExpect[T ~int64](id T) string { return OrderLine(id) + "/expect" }

// SendBack is the form that sends pieces of an arrival back, and does so by POST.
func SendBack[T ~int64](arrival T) string { return Arrival(arrival) + "/send-back" }

// OrderReturn is the form of what goes back, and takes it by POST.
func OrderReturn[T ~int64](id T) string { return in("/order-returns", id) }

// ToOrder is what the plan still wants to be ordered, by supplier.
func ToOrder() string { return Orders() + "/to-order" }

// ToOrderAt is the form that makes an order of a supplier out of it, and does so by POST; 0 is of one still to be chosen.
func ToOrderAt[T ~int64](supplier T) string { return in(ToOrder(), supplier) }

// OrderImports takes an order as pasted, or as a file, by POST.
func OrderImports() string { return Orders() + "/imports" }

// OrderImport shows what a pasted order would be, and makes it by POST.
func OrderImport[T ~int64](id T) string { return in(OrderImports(), id) }

// OrderImportUndo takes back by POST what a pasted order did.
func OrderImportUndo[T ~int64](id T) string { return OrderImport(id) + "/undo" }
