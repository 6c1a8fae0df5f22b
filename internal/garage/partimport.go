package garage

import "time"

// PartImportID names an import of parts.
type PartImportID int64

// PartImport is a file of parts as it came.
type PartImport struct {
	ID        PartImportID
	Content   []byte
	Currency  string // of prices whose currency the file does not say
	CreatedAt time.Time
	DoneAt    *time.Time
	UndoneAt  *time.Time
}
