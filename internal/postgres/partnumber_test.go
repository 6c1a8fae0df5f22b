package postgres_test

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// TestPartNumbers_readAsInTheForm holds the database's reading of the numbers against the domain's.
func TestPartNumbers_readAsInTheForm(t *testing.T) {
	t.Parallel()
	tx := pgtest.Tx(t)
	s := postgres.New(tx)
	for _, typed := range []string{
		"", " , ;\n", "QL 33-1042 A, 77.041/2", "Reed & Hale: 77.041/2", "A > B → C; D", "maker: 1 > 2\r\n3", ":7", "a > b: c", "x>,>y", "whose: ",
	} {
		id := createPart(t, s, func(p *garage.Part) { p.OtherNumbers = typed })
		rows, err := tx.Query(t.Context(), `
			select whose, number, replaced_by from part_numbers where part_id = $1 and position > 0 order by position`, id)
		if err != nil {
			t.Fatal(err)
		}
		var got []garage.PartNumber
		for rows.Next() {
			var n garage.PartNumber
			if err := rows.Scan(&n.Whose, &n.Number, &n.ReplacedBy); err != nil {
				t.Fatal(err)
			}
			got = append(got, n)
		}
		if diff := cmp.Diff(garage.ParseNumbers(typed), got); diff != "" || rows.Err() != nil {
			t.Errorf("%q: %v (-form +database):\n%s", typed, rows.Err(), diff)
		}
	}
}

func TestStore_Parts_findsEveryNumber(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	createPart(t, s, func(p *garage.Part) {
		p.Name, p.Side, p.Number, p.OtherNumbers = "Pump", "", "KF 9", "Reed & Hale: 55.120-3 > 55.120-4\nKF 8 > KF 9"
		p.Variant = "with the three-bolt flange"
	})
	for query, want := range map[string]string{
		"551203": "Pump", "55 120 4": "Pump", "KF8": "Pump", "kf.9": "Pump", "reed": "Pump", "three-bolt": "Pump", "551205": "",
	} {
		rows, err := s.Parts(t.Context(), garage.PartFilter{Query: query, Limit: 10})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range rows {
			got = append(got, r.Name)
		}
		if strings.Join(got, ", ") != want {
			t.Errorf("%q: got %v", query, got)
		}
	}
}

func TestStore_PartsByNumber(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	old := createPart(t, s, func(p *garage.Part) { p.Number, p.OtherNumbers = "KF-8", "KF-8 > KF-9" })
	next := createPart(t, s, func(p *garage.Part) { p.Number, p.OtherNumbers = "kf 9", "" })
	createPart(t, s, func(p *garage.Part) { p.Number, p.OtherNumbers = "", "" })
	found, err := s.PartsByNumber(t.Context(), old)
	if err != nil || len(found) != 1 || found[0].ID != next {
		t.Errorf("what replaced it: got %v, %v", found, err)
	}
}

func TestStore_Twin(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	left := createPart(t, s, func(p *garage.Part) { p.Side, p.Number, p.OtherNumbers = "left", "TA-1-L", "" })
	if _, err := s.Twin(t.Context(), left); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("before: got %v", err)
	}
	if _, err := s.SetTwin(t.Context(), left, garage.PartPick{Text: "TA-1-R"}); refusedAt(err) != "new_part" {
		t.Errorf("one that is not there: got %v", err)
	}
	right, err := s.SetTwin(t.Context(), left, garage.PartPick{Text: "TA-1-R", New: true})
	if err != nil {
		t.Fatal(err)
	}
	for of, want := range map[garage.PartID]garage.PartID{left: right, right: left} {
		if twin, err := s.Twin(t.Context(), of); err != nil || twin.ID != want {
			t.Errorf("twin of %d: got %d, %v", of, twin.ID, err)
		}
	}
	made, err := s.Part(t.Context(), right)
	if err != nil || made.Side != "right" || made.Number != "TA-1-R" || made.Name != "Trailing arm" || made.OtherNumbers != "" {
		t.Errorf("the one that was made: %+v, %v", made, err)
	}
	other := createPart(t, s, func(p *garage.Part) { p.Side, p.Number, p.OtherNumbers = "left", "TA-2-L", "" })
	if _, err := s.SetTwin(t.Context(), other, garage.PartPick{Text: "TA-1-R"}); refusedAt(err) != "part" {
		t.Errorf("a second twin: got %v", err)
	}
	if _, err := s.SetTwin(t.Context(), other, garage.PartPick{Text: "TA-1-L"}); refusedAt(err) != "part" {
		t.Errorf("two for the left: got %v", err)
	}
	part, err := s.Part(t.Context(), left)
	if err != nil {
		t.Fatal(err)
	}
	part.Side = ""
	if err := s.UpdatePart(t.Context(), part); refusedAt(err) != "side" {
		t.Errorf("a twin without a side: got %v", err)
	}
	if err := s.ClearTwin(t.Context(), right); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Twin(t.Context(), left); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("after: got %v", err)
	}
	if err := s.ClearTwin(t.Context(), left); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("cleared twice: got %v", err)
	}
}

func TestStore_PartFits(t *testing.T) {
	t.Parallel()
	s := postgres.New(pgtest.Tx(t))
	part := createPart(t, s)
	car, err := s.CreateCar(t.Context(), garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	set := func(known string) garage.PartFitID {
		id, err := s.SetPartFit(t.Context(), garage.PartFit{PartID: part, CarID: car, Known: known})
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	guessed := set(garage.FitGuessed)
	if again := set(garage.FitChecked); again != guessed {
		t.Errorf("said anew it is another: %d, %d", guessed, again)
	}
	fits, err := s.PartFits(t.Context(), part)
	if err != nil || len(fits) != 1 || fits[0].Known != garage.FitChecked || fits[0].CarName != garagetest.Car().Name {
		t.Errorf("got %+v, %v", fits, err)
	}
	if got, err := s.DeletePartFit(t.Context(), guessed); err != nil || got != part {
		t.Errorf("deleted: %d, %v", got, err)
	}
	anew := set(garage.FitNot)
	if _, err := s.RestorePartFit(t.Context(), guessed); refusedAt(err) != "" || err == nil {
		t.Errorf("back while another stands: got %v", err)
	}
	if _, err := s.DeletePartFit(t.Context(), anew); err != nil {
		t.Fatal(err)
	}
	if got, err := s.RestorePartFit(t.Context(), guessed); err != nil || got != part {
		t.Errorf("back: %d, %v", got, err)
	}
	if _, err := s.SetPartFit(t.Context(), garage.PartFit{PartID: part, CarID: car, Known: "surely"}); refusedAt(err) != "known" {
		t.Errorf("surely: got %v", err)
	}
}
