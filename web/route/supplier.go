package route

// Suppliers lists the suppliers, and takes a new one by POST.
func Suppliers() string { return "/suppliers" }

// SupplierNew is the form for a supplier.
func SupplierNew() string { return Suppliers() + "/new" }

// Supplier shows a supplier, and takes a changed one by POST.
func Supplier[T ~int64](id T) string { return in(Suppliers(), id) }

// SupplierEdit is the form of a supplier.
func SupplierEdit[T ~int64](id T) string { return Supplier(id) + "/edit" }

// SupplierDelete deletes a supplier by POST.
func SupplierDelete[T ~int64](id T) string { return Supplier(id) + "/delete" }

// SupplierRestore brings a deleted supplier back by POST.
func SupplierRestore[T ~int64](id T) string { return Supplier(id) + "/restore" }
