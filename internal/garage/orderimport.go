package garage

import "time"

// OrderImportID names an order that was pasted.
type OrderImportID int64

// OrderImport is an order as it was pasted.
type OrderImport struct {
	ID        OrderImportID
	Content   []byte
	Form      Order // what it becomes, without its lines
	CreatedAt time.Time
	DoneAt    *time.Time
	UndoneAt  *time.Time
	OrderID   *OrderID
}

// OrderImportLine is a line to be added: of a part that is there, or with PartID 0 of one that is added, by that name and number.
type OrderImportLine struct {
	OrderLine
	Name   string
	Number string
}
