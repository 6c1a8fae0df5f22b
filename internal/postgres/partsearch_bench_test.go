package postgres_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// manyParts fills a garage with 12,000 parts, each with a piece in one of 400 bins.
func manyParts(t testing.TB) *postgres.Store {
	t.Helper()
	db := pgtest.Tx(t)
	_, err := db.Exec(t.Context(), `
		insert into bins (name, place) select 'R' || n / 20 || '-' || n % 20, 'rack ' || n / 20 from generate_series(1, 400) n;
		insert into parts (name, number, other_numbers, side, supplier, notes)
		select (array['Trailing arm', 'Brake hose', 'Seal', 'Bush', 'Bearing', 'Gasket', 'Bolt M8x30', 'Lamp', 'Relay', 'Hose clamp'])[1 + n % 10] || ' ' || n % 97,
		  'QL ' || n % 89 || '-' || n || ' B', 'QL ' || n % 89 || '-' || n || ' A > QL ' || n % 89 || '-' || n || ' B, Reed & Hale: 77.' || n,
		  (array['', 'left', 'right'])[1 + n % 3], (array['Quill & Lathe', 'Reed & Hale', 'Mossbank'])[1 + n % 3],
		  case when n % 7 = 0 then 'came with the shell, thread cleaned, lies beside the old one' else '' end
		from generate_series(1, 12000) n;
		insert into stock_movements (part_id, bin_id, quantity, kind)
		select p.id, b.id, 1 + p.id % 4, 'bought' from parts p join (select id, row_number() over () as n from bins) b on b.n = 1 + p.id % 400;
		analyze parts; analyze part_numbers; analyze stock; analyze bins`)
	if err != nil {
		t.Fatal(err)
	}
	return postgres.New(db)
}

var partQueries = []string{"", "br", "trailing arm left", "QL 33-1042", "7711", "rack 7", "thread cleaned", "quill bush", "nothing like it", "se"}

// BenchmarkStore_Parts measures the search of 12,000 stock pieces: the slowest of twenty answers, by what is looked for.
func BenchmarkStore_Parts(b *testing.B) {
	s := manyParts(b)
	for _, query := range partQueries {
		b.Run(fmt.Sprintf("%q", query), func(b *testing.B) {
			var took []time.Duration
			for b.Loop() {
				start := time.Now()
				if _, err := s.Parts(b.Context(), garage.PartFilter{Query: query, Limit: 100}); err != nil {
					b.Fatal(err)
				}
				took = append(took, time.Since(start))
			}
			slices.Sort(took)
			b.ReportMetric(float64(took[len(took)*95/100].Microseconds())/1000, "p95-ms")
		})
	}
}

// TestStore_Parts_quick fails when a search of 12,000 stock pieces becomes a matter of seconds; the benchmark beside it has the
// figures.
func TestStore_Parts_quick(t *testing.T) {
	t.Parallel()
	s := manyParts(t)
	random := rand.New(rand.NewPCG(1, 2))
	for range 20 {
		query := partQueries[random.IntN(len(partQueries))]
		start := time.Now()
		if _, err := s.Parts(t.Context(), garage.PartFilter{Query: query, Limit: 100}); err != nil {
			t.Fatal(err)
		}
		if took := time.Since(start); took > time.Second {
			t.Errorf("%q took %v", query, took)
		}
	}
}
