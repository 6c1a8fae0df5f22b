// Package interval counts days and whole months.
package interval
