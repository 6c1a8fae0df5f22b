package postgres

import "github.com/jackc/pgx/v5/pgxpool"

// Figure is one number about the connections to the database.
type Figure struct {
	Name, Help string // as a Prometheus names them
	Counts     bool   // only ever rises
	Read       func() float64
}

// Figures are those of a pool.
func Figures(pool *pgxpool.Pool) []Figure {
	return []Figure{
		{"axlestand_database_connections", "Connections to the database.", false, func() float64 { return float64(pool.Stat().TotalConns()) }},
		{"axlestand_database_connections_used", "Those in use.", false, func() float64 { return float64(pool.Stat().AcquiredConns()) }},
		{"axlestand_database_connections_most", "As many as there may be.", false, func() float64 { return float64(pool.Stat().MaxConns()) }},
		{"axlestand_database_waits_total", "How often none was free.", true, func() float64 { return float64(pool.Stat().EmptyAcquireCount()) }},
		{"axlestand_database_wait_seconds_total", "How long it was waited for one.", true, func() float64 { return pool.Stat().AcquireDuration().Seconds() }},
	}
}
