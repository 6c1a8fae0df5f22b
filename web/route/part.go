package route

import (
	"net/url"
	"strconv"
)

// PartsFound lists the parts that a query finds, from one on.
func PartsFound(query, page string) string {
	v := url.Values{}
	if query != "" {
		v.Set("q", query)
	}
	if page != "" {
		v.Set("page", page)
	}
	if len(v) == 0 {
		return Parts()
	}
	return Parts() + "?" + v.Encode()
}

// PartNew is the form for a new part.
func PartNew() string { return "/parts/new" }

// Part shows a part, and saves it by POST.
func Part[T ~int64](id T) string { return in("/parts", id) }

// PartEdit is the form of a part.
func PartEdit[T ~int64](id T) string { return Part(id) + "/edit" }

// PartDelete deletes a part by POST.
func PartDelete[T ~int64](id T) string { return Part(id) + "/delete" }

// PartRestore brings a deleted part back by POST.
func PartRestore[T ~int64](id T) string { return Part(id) + "/restore" }

// Stock is the form that puts, takes, moves or counts pieces of a part, and does so by POST: action is one of these words.
func Stock[T ~int64](part T, action string) string { return Part(part) + "/" + action }

// MovementReverse undoes a movement of stock by POST.
func MovementReverse[T ~int64](id T) string { return in("/movements", id) + "/reverse" }

// Arrivals adds an expected arrival of a part by POST.
func Arrivals[T ~int64](part T) string { return Part(part) + "/arrivals" }

// ArrivalNew is the form for a new arrival of a part.
func ArrivalNew[T ~int64](part T) string { return Arrivals(part) + "/new" }

// Arrival saves an arrival by POST.
func Arrival[T ~int64](id T) string { return in("/arrivals", id) }

// ArrivalEdit is the form of an arrival.
func ArrivalEdit[T ~int64](id T) string { return Arrival(id) + "/edit" }

// ArrivalReceive is the form that puts what has come into a bin, and does so by POST.
func ArrivalReceive[T ~int64](id T) string { return Arrival(id) + "/receive" }

// ArrivalDelete deletes an arrival by POST.
func ArrivalDelete[T ~int64](id T) string { return Arrival(id) + "/delete" }

// ArrivalRestore brings a deleted arrival back by POST.
func ArrivalRestore[T ~int64](id T) string { return Arrival(id) + "/restore" }

// Bins lists the bins, and adds one by POST.
func Bins() string { return "/bins" }

// BinNew is the form for a new bin.
func BinNew() string { return "/bins/new" }

// Bin shows what is in a bin, and saves it by POST.
func Bin[T ~int64](id T) string { return in("/bins", id) }

// BinEdit is the form of a bin.
func BinEdit[T ~int64](id T) string { return Bin(id) + "/edit" }

// BinDelete deletes a bin by POST.
func BinDelete[T ~int64](id T) string { return Bin(id) + "/delete" }

// BinRestore brings a deleted bin back by POST.
func BinRestore[T ~int64](id T) string { return Bin(id) + "/restore" }

// DonorParts adds a part to a donor by POST.
func DonorParts[T ~int64](car T) string { return Car(car) + "/donor-parts" }

// DonorPartNew is the form for a further part of a donor.
func DonorPartNew[T ~int64](car T) string { return DonorParts(car) + "/new" }

// DonorPart saves a part of a donor by POST.
func DonorPart[T ~int64](id T) string { return in("/donor-parts", id) }

// DonorPartEdit is the form of a part of a donor.
func DonorPartEdit[T ~int64](id T) string { return DonorPart(id) + "/edit" }

// DonorPartOff is the form that puts what was taken off a donor into a bin, and does so by POST.
func DonorPartOff[T ~int64](id T) string { return DonorPart(id) + "/off" }

// DonorPartDelete deletes a part of a donor by POST.
func DonorPartDelete[T ~int64](id T) string { return DonorPart(id) + "/delete" }

// DonorPartRestore brings a deleted part of a donor back by POST.
func DonorPartRestore[T ~int64](id T) string { return DonorPart(id) + "/restore" }

// Harvest is the form that makes a harvest job from parts of a donor, and does so by POST.
func Harvest[T ~int64](car T) string { return Car(car) + "/harvest" }

// PartTwin is the form that names the twin of a handed part, and does so by POST.
func PartTwin[T ~int64](part T) string { return Part(part) + "/twin" }

// PartTwinDelete parts two twins by POST.
func PartTwinDelete[T ~int64](part T) string { return PartTwin(part) + "/delete" }

// PartFits is the form that says whether a part fits a car, and does so by POST.
func PartFits[T ~int64](part T) string { return Part(part) + "/fits" }

// PartFitOn is that form for a car.
func PartFitOn[T, C ~int64](part T, car C) string {
	return PartFits(part) + "?car=" + strconv.FormatInt(int64(car), 10)
}

// PartFitDelete forgets by POST whether a part fits a car.
func PartFitDelete[T ~int64](id T) string { return in("/fits", id) + "/delete" }

// PartFitRestore undoes [PartFitDelete] by POST.
func PartFitRestore[T ~int64](id T) string { return in("/fits", id) + "/restore" }

// StockAt is the form that does something with the stock of a part, with the row chosen that place names.
func StockAt[T ~int64](part T, action, place string) string {
	return Stock(part, action) + "?place=" + place
}

// PartsExport is the list of parts as a CSV file.
func PartsExport() string { return "/parts/export.csv" }

// PartImports is the form that takes a CSV file of parts, and takes it by POST.
func PartImports() string { return "/parts/imports" }

// PartImport shows what an import would do, and does it by POST.
func PartImport[T ~int64](id T) string { return in(PartImports(), id) }

// PartImportBad are the lines of an import that are wrong, as a CSV file.
func PartImportBad[T ~int64](id T) string { return PartImport(id) + "/wrong.csv" }

// PartImportUndo takes back by POST what an import did.
func PartImportUndo[T ~int64](id T) string { return PartImport(id) + "/undo" }

// Donor shows what a donor costs and brings.
func Donor[T ~int64](car T) string { return Car(car) + "/donor" }

// DonorLedger is the form of what a donor costs, and saves it by POST.
func DonorLedger[T ~int64](car T) string { return Donor(car) + "/ledger" }

// DonorSales notes by POST what was sold of a donor.
func DonorSales[T ~int64](car T) string { return Car(car) + "/sales" }

// DonorSaleNew is the form of a further sale.
func DonorSaleNew[T ~int64](car T) string { return DonorSales(car) + "/new" }

// DonorSale saves a sale by POST.
func DonorSale[T ~int64](id T) string { return in("/sales", id) }

// DonorSaleEdit is the form of a sale.
func DonorSaleEdit[T ~int64](id T) string { return DonorSale(id) + "/edit" }

// DonorSaleDelete deletes a sale by POST.
func DonorSaleDelete[T ~int64](id T) string { return DonorSale(id) + "/delete" }

// DonorSaleRestore brings a deleted sale back by POST.
func DonorSaleRestore[T ~int64](id T) string { return DonorSale(id) + "/restore" }

// FittedOf notes by POST pieces of a part that were fitted.
func FittedOf[T ~int64](part T) string { return Part(part) + "/fitted" }

// FittedNew is the form of further ones.
func FittedNew[T ~int64](part T) string { return FittedOf(part) + "/new" }

// Fitted saves fitted pieces by POST.
func Fitted[T ~int64](id T) string { return in("/fitted", id) }

// FittedEdit is the form of fitted pieces.
func FittedEdit[T ~int64](id T) string { return Fitted(id) + "/edit" }

// FittedDelete deletes fitted pieces by POST.
func FittedDelete[T ~int64](id T) string { return Fitted(id) + "/delete" }

// FittedRestore brings deleted ones back by POST.
func FittedRestore[T ~int64](id T) string { return Fitted(id) + "/restore" }

// BinLabels is the sheet of labels of all bins, to be printed.
func BinLabels() string { return Bins() + "/labels" }

// BinLabel is the sheet with the label of one.
func BinLabel[T ~int64](id T) string { return BinLabels() + "?bin=" + strconv.FormatInt(int64(id), 10) }
