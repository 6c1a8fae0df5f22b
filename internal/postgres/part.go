package postgres

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// partHolds says that a part can be found by the pattern @like, or by the number pattern @number. What is said of a part lies in
// two columns, and the bins are looked for once: 12,000 parts are read through in a few milliseconds, with no index to keep.
const partHolds = `(
	said like @like or numbers_said like @number
	or id in (select part_id from stock where quantity > 0 and bin_id in
	  (select id from bins where lower(name) like @like or lower(place) like @like)))`

// likeEscape takes the meaning from what a pattern reads as more than itself.
var likeEscape = strings.NewReplacer(`\`, `\\`, `%`, `\%`, `_`, `\_`)

func contains(text string) string { return "%" + likeEscape.Replace(text) + "%" }

// Parts lists the parts that hold every word of the query: in name, side, supplier, notes, what must match and bins, and in
// their numbers however they are spaced. Those with exactly that number come first, then those whose name begins with it.
func (s *Store) Parts(ctx context.Context, f garage.PartFilter) ([]garage.PartRow, error) {
	found, order, a := partSearch(f)
	return list[garage.PartRow](ctx, s.db, `
		with found as (`+found+` order by `+order+` limit @limit offset @offset)
		select `+partColumns+`, total,
		  (select coalesce(sum(quantity), 0) from stock where part_id = found.id) as on_hand,
		  (select coalesce(sum(quantity), 0) from arrivals a where a.part_id = found.id and `+arrivalIsExpected+`) as expected,
		  (select coalesce(sum(quantity), 0) from donor_parts d join cars c on c.id = d.car_id
		    where d.part_id = found.id and `+isOnDonor+`) as on_donors,
		  (select count(distinct j.id) from `+openNeeds+` where n.part_id = found.id and `+needIsOpen+`) as jobs,
		  (select coalesce(string_agg(name, ', ' order by lower(name)), '') from bins
		    where id in (select bin_id from stock where part_id = found.id and quantity > 0)) as bins
		from found
		order by `+order, a)
}

// partSearch is the query for the parts that a filter means, and their order. All parts are in the order of an index, so that
// a page of them is read and no more.
func partSearch(f garage.PartFilter) (found, order string, a args) {
	query := strings.Join(strings.Fields(f.Query), " ")
	a = args{"limit": f.Limit, "offset": f.Offset}
	if query == "" {
		return `select ` + partColumns + `, (select count(*) from parts where deleted_at is null) as total
			from parts where deleted_at is null`, "lower(name), side, id", a
	}
	where := "deleted_at is null"
	for i, word := range strings.Fields(query) {
		like, number := fmt.Sprintf("like%d", i), fmt.Sprintf("number%d", i)
		a[like] = contains(strings.ToLower(word))
		a[number] = contains(garage.NormalNumber(word))
		where += " and " + strings.NewReplacer("@like", "@"+like, "@number", "@"+number).Replace(partHolds)
	}
	a["exact"], a["begins"] = garage.NormalNumber(query), likeEscape.Replace(strings.ToLower(query))+"%"
	return `select ` + partColumns + `, count(*) over () as total,
		  id in (select part_id from part_numbers where normal = @exact and normal <> '') as exact,
		  lower(name) like @begins as begins
		from parts where ` + where, "exact desc, begins desc, lower(name), side, id", a
}

const (
	// arrivalIsExpected holds for an arrival a that is still to come.
	arrivalIsExpected = `a.deleted_at is null and a.received_at is null`
	// isOnDonor holds for a donor part d that is still on a car c that is kept.
	isOnDonor = `d.deleted_at is null and d.taken_at is null and c.deleted_at is null`
	// openNeeds and needIsOpen are the needs n of jobs j that are still to be met.
	openNeeds  = `needs n join stages st on st.id = n.stage_id join jobs j on j.id = st.job_id join cars c on c.id = j.car_id`
	needIsOpen = `n.deleted_at is null and st.deleted_at is null and st.done_at is null and ` + jobIsOpen + ` and c.deleted_at is null`
)

// Part is one part. garage.ErrNotFound when there is none or it was deleted.
func (s *Store) Part(ctx context.Context, id garage.PartID) (garage.Part, error) {
	return part(ctx, s.db, id, "")
}

func part(ctx context.Context, db DBTX, id garage.PartID, lock string) (garage.Part, error) {
	p, err := one[garage.Part](ctx, db, `select `+partColumns+` from parts where id = @id and deleted_at is null `+lock, args{"id": id})
	if err != nil {
		return p, fmt.Errorf("part %d: %w", id, err)
	}
	return p, nil
}

// PartNeeds lists the needs of open jobs for a part.
func (s *Store) PartNeeds(ctx context.Context, id garage.PartID) ([]garage.PartNeed, error) {
	return list[garage.PartNeed](ctx, s.db, `
		select n.id, n.version, n.stage_id, n.part_id, n.quantity, n.stops, n.note, n.side, n.least_grade, n.single_use,
		  n.pinned_at, n.deleted_at,
		  j.id as job_id, j.title as job_title, c.name as car_name
		from `+openNeeds+`
		where n.part_id = @part_id and `+needIsOpen+`
		order by j.due nulls last, j.weight desc, j.id, n.id`, args{"part_id": id})
}

// PartLabels lists what tells parts apart, at most limit of them, for a field to offer.
func (s *Store) PartLabels(ctx context.Context, limit int) ([]string, error) {
	parts, err := list[garage.Part](ctx, s.db, `
		select `+partColumns+` from parts where deleted_at is null order by lower(name), side, id limit @limit`, args{"limit": limit})
	if err != nil {
		return nil, err
	}
	var labels []string
	for _, p := range parts {
		labels = append(labels, p.Label())
	}
	return labels, nil
}

// CreatePart adds a part. *garage.InvalidError for what does not hold.
func (s *Store) CreatePart(ctx context.Context, p garage.Part) (id garage.PartID, err error) {
	if err := p.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insertPart(ctx, tx, p)
		return err
	})
	return id, err
}

func partArgs(p garage.Part) args {
	return args{
		"name": p.Name, "number": p.Number, "other_numbers": p.OtherNumbers, "side": p.Side, "grade": p.Grade, "unit": p.Unit,
		"supplier": p.Supplier, "price": p.Price, "currency": p.Currency, "lead_low": p.LeadLow, "lead_likely": p.LeadLikely,
		"lead_high": p.LeadHigh, "notes": p.Notes, "variant": p.Variant,
	}
}

func insertPart(ctx context.Context, tx pgx.Tx, p garage.Part) (garage.PartID, error) {
	return insert[garage.PartID](ctx, tx, `
		insert into parts (name, number, other_numbers, side, grade, unit, supplier, price, currency, lead_low, lead_likely,
		  lead_high, notes, variant)
		values (@name, @number, @other_numbers, @side, @grade, @unit, @supplier, @price, @currency, @lead_low, @lead_likely,
		  @lead_high, @notes, @variant)
		returning id`, partArgs(p))
}

// UpdatePart saves a part. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdatePart(ctx context.Context, p garage.Part) error {
	if err := p.Validate(); err != nil {
		return err
	}
	a := partArgs(p)
	a["id"], a["version"] = p.ID, p.Version
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if err := keepsSide(ctx, tx, p); err != nil {
			return err
		}
		return update(ctx, tx, "parts", `
			update parts set
			  version = version + 1,
			  name = @name,
			  number = @number,
			  other_numbers = @other_numbers,
			  side = @side,
			  grade = @grade,
			  unit = @unit,
			  supplier = @supplier,
			  price = @price,
			  currency = @currency,
			  lead_low = @lead_low,
			  lead_likely = @lead_likely,
			  lead_high = @lead_high,
			  notes = @notes,
			  variant = @variant
			where id = @id and version = @version and deleted_at is null`, a)
	})
}

// keepsSide refuses another side for one of two twins.
func keepsSide(ctx context.Context, tx pgx.Tx, p garage.Part) error {
	var was string
	err := tx.QueryRow(ctx, `select case when left_id = $1 then 'left' else 'right' end from part_twins where $1 in (left_id, right_id)`,
		p.ID).Scan(&was)
	switch {
	case errors.Is(err, pgx.ErrNoRows):
		return nil
	case err == nil && was != p.Side:
		return garage.FieldErrors{"side": "It is the " + was + " one of two twins. Part them first."}.Err()
	}
	return err
}

// DeletePart deletes a part; RestorePart brings it back. *garage.InvalidError, on the whole, while it lies in a bin, is
// expected, is on a donor or needed by an open job; garage.ErrNotFound when it is gone already.
func (s *Store) DeletePart(ctx context.Context, id garage.PartID) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := part(ctx, tx, id, "for update"); err != nil {
			return err
		}
		users, err := usedBy(ctx, tx, `
			select 'bin ' || b.name from stock s join bins b on b.id = s.bin_id where s.part_id = $1 and s.quantity > 0
			union select 'an arrival of ' || a.likely from arrivals a where a.part_id = $1 and `+arrivalIsExpected+`
			union select c.name from donor_parts d join cars c on c.id = d.car_id where d.part_id = $1 and `+isOnDonor+`
			union select j.title from `+openNeeds+` where n.part_id = $1 and `+needIsOpen, int64(id))
		if err != nil {
			return err
		}
		if users != "" {
			return garage.FieldErrors{"": "It is still in use: " + users + "."}.Err()
		}
		return New(tx).setDeleted(ctx, "parts", int64(id), true)
	})
}

// RestorePart brings a deleted part back. garage.ErrNotFound when there is no such deleted one.
func (s *Store) RestorePart(ctx context.Context, id garage.PartID) error {
	return s.setDeleted(ctx, "parts", int64(id), false)
}

// pickPart finds the part that is meant by its label, name or number, or makes it. *garage.InvalidError under "part" when
// none is named or several fit, under "new_part" when none fits and none may be made.
func pickPart(ctx context.Context, tx pgx.Tx, pick garage.PartPick, currency string) (garage.PartID, error) {
	text := strings.TrimSpace(pick.Text)
	if text == "" {
		return 0, garage.FieldErrors{"part": "Name the part."}.Err()
	}
	found, err := list[garage.Part](ctx, tx, `
		select `+partColumns+` from parts
		where deleted_at is null and (lower(@text) in (lower(name), lower(`+partLabel+`))
		  or @number <> '' and id in (select part_id from part_numbers where normal = @number))
		order by lower(`+partLabel+`) = lower(@text) desc, id
		for share`, args{"text": text, "number": garage.NormalNumber(text)})
	if err != nil {
		return 0, err
	}
	if len(found) > 1 && strings.EqualFold(found[0].Label(), text) && !strings.EqualFold(found[1].Label(), text) {
		found = found[:1]
	}
	switch {
	case len(found) == 1:
		return found[0].ID, nil
	case len(found) > 1:
		return 0, severalParts(found)
	case !pick.New:
		return 0, garage.FieldErrors{"new_part": "There is no part called " + text + ". Tick to make it."}.Err()
	}
	p := garage.Part{Name: text, Side: pick.Side, Unit: "piece", Currency: currency}
	e := garage.FieldErrors{}
	if err := p.Validate(); err != nil && gather(err, &e) {
		return 0, garage.FieldErrors{"part": e["name"], "side": e["side"]}.Err()
	}
	return insertPart(ctx, tx, p)
}

// partLabel is garage.Part.Label in a query.
const partLabel = `name || case when side <> '' and name !~* ('(^|[^[:alpha:]])' || side || '([^[:alpha:]]|$)') then ', ' || side else '' end || case when number <> '' then ' · ' || number else '' end`

func severalParts(found []garage.Part) error {
	var labels []string
	for _, p := range found {
		labels = append(labels, p.Label())
	}
	const most = 5
	if extra := len(labels) - most; extra > 0 {
		labels = append(labels[:most], fmt.Sprintf("%d more", extra))
	}
	return garage.FieldErrors{"part": "Several parts fit: " + strings.Join(labels, "; ") + ". Write the one that is meant in full, or its number."}.Err()
}
