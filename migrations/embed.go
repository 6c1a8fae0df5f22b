// Package migrations holds the database schema as numbered steps, each with its way back.
package migrations

import "embed"

// FS holds NNNNNN_name.up.sql and NNNNNN_name.down.sql.
//
//go:embed *.sql
var FS embed.FS
