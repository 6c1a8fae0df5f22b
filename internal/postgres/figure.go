package postgres

import "github.com/jackc/pgx/v5/pgxpool"

// Figure is one number about the connections to the database.
type Figure struct {
	Name, Kind, Help string // as a Prometheus names them
	Value            float64
}

// Figures are those of a pool now.
func Figures(pool *pgxpool.Pool) []Figure {
	stat := pool.Stat()
	return []Figure{
		{"axlestand_database_connections", "gauge", "Connections to the database.", float64(stat.TotalConns())},
		{"axlestand_database_connections_used", "gauge", "Those in use.", float64(stat.AcquiredConns())},
		{"axlestand_database_connections_most", "gauge", "As many as there may be.", float64(stat.MaxConns())},
		{"axlestand_database_waits_total", "counter", "How often none was free.", float64(stat.EmptyAcquireCount())},
		{"axlestand_database_wait_seconds_total", "counter", "How long it was waited for one.", stat.AcquireDuration().Seconds()},
	}
}
