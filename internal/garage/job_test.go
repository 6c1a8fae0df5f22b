package garage_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
)

func TestAfterLoop(t *testing.T) {
	t.Parallel()
	edges := func(pairs ...garage.JobID) (list []garage.After) {
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, garage.After{JobID: pairs[i], AfterID: pairs[i+1]})
		}
		return list
	}
	for name, tt := range map[string]struct {
		edges []garage.After
		want  []garage.JobID
	}{
		"none":                    {nil, nil},
		"a chain":                 {edges(1, 2, 2, 3, 3, 4), nil},
		"two ways to one job":     {edges(1, 2, 1, 3, 2, 4, 3, 4), nil},
		"two jobs":                {edges(1, 2, 2, 1), []garage.JobID{1, 2, 1}},
		"three, behind a chain":   {edges(1, 2, 2, 3, 3, 4, 4, 2), []garage.JobID{2, 3, 4, 2}},
		"a job that is its own":   {edges(5, 5), []garage.JobID{5, 5}},
		"in a part of its own":    {edges(1, 2, 8, 9, 9, 8), []garage.JobID{8, 9, 8}},
		"of two, always the same": {edges(3, 4, 4, 3, 1, 2, 2, 1), []garage.JobID{1, 2, 1}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if got := garage.AfterLoop(tt.edges); !slices.Equal(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
			turned := slices.Clone(tt.edges)
			slices.Reverse(turned)
			if got := garage.AfterLoop(turned); !slices.Equal(got, tt.want) {
				t.Errorf("edges the other way round: got %v, want %v", got, tt.want)
			}
		})
	}
}

// A ladder of a thousand rungs has more ways through than could ever be walked one by one.
func TestAfterLoop_ladder(t *testing.T) {
	t.Parallel()
	var edges []garage.After
	for i := garage.JobID(1); i < 2000; i += 2 {
		for _, from := range []garage.JobID{i, i + 1} {
			edges = append(edges, garage.After{JobID: from, AfterID: i + 2}, garage.After{JobID: from, AfterID: i + 3})
		}
	}
	start := time.Now()
	if loop := garage.AfterLoop(edges); loop != nil {
		t.Errorf("found the loop %v where there is none", loop)
	}
	if took := time.Since(start); took > 5*time.Second {
		t.Errorf("took %s", took)
	}
}

func TestStageTroubles(t *testing.T) {
	t.Parallel()
	job := func(spans ...string) (stages []garage.Stage) {
		for i, span := range spans {
			stages = append(stages, garagetest.Stage(func(s *garage.Stage) {
				s.ID, s.Position, s.Immobile = garage.StageID(i+1), i+1, span
			}))
		}
		return stages
	}
	follows := func(stages []garage.Stage, i int) []garage.Stage {
		stages[i].FollowsAtOnce = true
		return stages
	}
	waits := job("", "", "")
	waits[1].Kind = garage.Wait
	for name, tt := range map[string]struct {
		stages, later []garage.Stage
		want          map[garage.StageID][]garage.StageTrouble
	}{
		"rolls again in the job":     {job("from", "", "until"), nil, nil},
		"rolls again in a later job": {job("from"), job("until"), nil},
		"only during it":             {job("within"), nil, nil},
		"ends what was before":       {job("until"), nil, nil},
		"never rolls again":          {job("", "from", ""), nil, map[garage.StageID][]garage.StageTrouble{2: {garage.NeverRollsAgain}}},
		"ended before it began":      {job("until", "from"), nil, map[garage.StageID][]garage.StageTrouble{2: {garage.NeverRollsAgain}}},
		"within does not end it":     {job("from", "within"), nil, map[garage.StageID][]garage.StageTrouble{1: {garage.NeverRollsAgain}}},
		"follows work at the bench":  {follows(job("", ""), 1), nil, nil},
		"follows nothing":            {follows(job("", ""), 0), nil, map[garage.StageID][]garage.StageTrouble{1: {garage.NothingToFollow}}},
		"follows a wait":             {follows(waits, 2), nil, map[garage.StageID][]garage.StageTrouble{3: {garage.NothingToFollow}}},
		"both": {
			follows(job("from"), 0), nil,
			map[garage.StageID][]garage.StageTrouble{1: {garage.NeverRollsAgain, garage.NothingToFollow}},
		},
		"places count, not the order read": {[]garage.Stage{job("", "until")[1], job("from")[0]}, nil, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			if got := garage.StageTroubles(tt.stages, tt.later); fmt.Sprint(got) != fmt.Sprint(tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
}

func TestJobSheet_Kit(t *testing.T) {
	t.Parallel()
	open, closed := garage.JobID(7), garage.JobID(8)
	done := time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)
	days := func(n int) *int { return &n }
	// Part 1 lies in two bins, is expected twice and is on the donor three times: taken off by an open job, by a closed
	// one, by none. Part 2 can be ordered. Part 3 is nowhere.
	sheet := garage.JobSheet{
		Parts: []garage.Part{{ID: 1}, {ID: 2, LeadLow: days(1), LeadLikely: days(2), LeadHigh: days(3)}, {ID: 3}},
		Stock: []garage.Stock{{PartID: 1, BinID: 1, Quantity: 1}, {PartID: 1, BinID: 2, Quantity: 3}},
		Bins:  []garage.Bin{{ID: 1, Name: "A1"}, {ID: 2, Name: "B1"}},
		Arrivals: []garage.Arrival{
			{ID: 1, PartID: 1, Quantity: 2, Likely: garage.NewDate(2027, 4, 1)},
			{ID: 2, PartID: 1, Quantity: 2, Likely: garage.NewDate(2027, 3, 1)},
		},
		DonorParts: []garage.DonorPart{
			{ID: 1, PartID: 1, Quantity: 1, HarvestJobID: &open},
			{ID: 2, PartID: 1, Quantity: 1, HarvestJobID: &closed},
			{ID: 3, PartID: 1, Quantity: 1},
		},
		Harvests: []garage.JobLink{{ID: open}, {ID: closed, ClosedAt: &done}},
		Stages:   []garage.Stage{{ID: 1, DoneAt: &done}, {ID: 2}, {ID: 3}},
		Used:     []garage.StageUse{{StageID: 1, PartID: 1, Quantity: 3}, {StageID: 2, PartID: 1, Quantity: 9}},
		Needs: []garage.Need{
			{ID: 1, StageID: 1, PartID: 1, Quantity: 2},
			{ID: 2, StageID: 1, PartID: 1, Quantity: 2},
			{ID: 3, StageID: 2, PartID: 1, Quantity: 5},
			{ID: 4, StageID: 3, PartID: 1, Quantity: 5},
			{ID: 5, StageID: 3, PartID: 2, Quantity: 1},
			{ID: 6, StageID: 2, PartID: 3, Quantity: 1},
		},
	}
	want := []string{
		"1: 2 used",
		"2: 1 used", // the stage took one less than its two needs call for
		"3: 3 on hand B1, 1 on hand A1, 1 expected 2", // the fullest bin, then the next to arrive
		"6: 1 missing", // in the order of the stages
		"4: 1 expected 2, 2 expected 1, 1 on a donor 1, 1 missing", // what the stage before has is gone
		"5: 1 to order",
	}
	var got []string
	for _, line := range sheet.Kit() {
		text := fmt.Sprintf("%d:", line.Need.ID)
		for i, s := range line.Sources {
			if i > 0 {
				text += ","
			}
			text += fmt.Sprintf(" %d %s", s.Quantity, s.Place)
			switch s.Place {
			case garage.KitOnHand:
				text += " " + s.Bin.Name
			case garage.KitExpected:
				text += fmt.Sprintf(" %d", s.Arrival.ID)
			case garage.KitOnDonor:
				text += fmt.Sprintf(" %d", s.Donor.ID)
			}
		}
		got = append(got, text)
		if line.Need.ID == 4 && len(line.Idle) != 2 {
			t.Errorf("%d donor parts that no open job takes off, want 2", len(line.Idle))
		}
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%q\nwant\n%q", got, want)
	}
}

func TestKitLine_Price(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		unit     string
		price    int64
		quantity int
		want     int64
	}{
		{"piece", 8900, 2, 17800}, {"set", 500, 3, 1500}, {"ml", 1200, 750, 900}, {"g", 999, 1, 1}, {"cm", 400, 1, 0},
	} {
		line := garage.KitLine{Part: garage.Part{Unit: tt.unit, Price: tt.price}}
		if got := line.Price(tt.quantity); got != tt.want {
			t.Errorf("%d %s at %d: got %d, want %d", tt.quantity, tt.unit, tt.price, got, tt.want)
		}
	}
}
