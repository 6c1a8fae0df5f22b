package postgres

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// SessionPatterns are the lines of the weekly pattern, Monday first.
func (s *Store) SessionPatterns(ctx context.Context) ([]garage.SessionPattern, error) {
	return list[garage.SessionPattern](ctx, s.db, `
		select `+patternColumns+` from session_patterns order by weekday, from_minute, to_minute, id`, args{})
}

// SessionPattern is one line; garage.ErrNotFound when there is none.
func (s *Store) SessionPattern(ctx context.Context, id garage.PatternID) (garage.SessionPattern, error) {
	v, err := one[garage.SessionPattern](ctx, s.db, `select `+patternColumns+` from session_patterns where id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("weekly session %d: %w", id, err)
	}
	return v, nil
}

func patternArgs(v garage.SessionPattern) args {
	return args{"weekday": v.Weekday, "from": v.FromMinute, "to": v.ToMinute, "helpers": v.Helpers}
}

// CreateSessionPattern adds a line. *garage.InvalidError for what does not hold.
func (s *Store) CreateSessionPattern(ctx context.Context, v garage.SessionPattern) (id garage.PatternID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insert[garage.PatternID](ctx, tx, `
			insert into session_patterns (weekday, from_minute, to_minute, helpers)
			values (@weekday, @from, @to, @helpers) returning id`, patternArgs(v))
		return err
	})
	return id, err
}

// UpdateSessionPattern saves a line. *garage.InvalidError for what does not hold, garage.ErrConflict for an old version,
// garage.ErrNotFound when it is gone.
func (s *Store) UpdateSessionPattern(ctx context.Context, v garage.SessionPattern) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := patternArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "session_patterns", `
			update session_patterns set
			  version = version + 1,
			  weekday = @weekday,
			  from_minute = @from,
			  to_minute = @to,
			  helpers = @helpers
			where id = @id and version = @version`, a)
	})
}

// DeleteSessionPattern takes a line away and returns it, so that it can be entered again. garage.ErrNotFound when it is gone.
func (s *Store) DeleteSessionPattern(ctx context.Context, id garage.PatternID) (garage.SessionPattern, error) {
	v, err := one[garage.SessionPattern](ctx, s.db, `
		delete from session_patterns where id = @id returning `+patternColumns, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("weekly session %d: %w", id, err)
	}
	return v, nil
}

// SessionExceptions are those from a day on, in order; the zero day is all of them.
func (s *Store) SessionExceptions(ctx context.Context, from garage.Date) ([]garage.SessionException, error) {
	return list[garage.SessionException](ctx, s.db, `
		select `+exceptionColumns+` from session_exceptions
		where @from::date is null or on_date >= @from
		order by on_date, from_minute, to_minute, id`, args{"from": from})
}

// SessionException is one exception; garage.ErrNotFound when there is none.
func (s *Store) SessionException(ctx context.Context, id garage.ExceptionID) (garage.SessionException, error) {
	v, err := one[garage.SessionException](ctx, s.db, `select `+exceptionColumns+` from session_exceptions where id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("exception %d: %w", id, err)
	}
	return v, nil
}

func exceptionArgs(v garage.SessionException) args {
	return args{"on": v.OnDate, "off": v.Off, "from": v.FromMinute, "to": v.ToMinute, "helpers": v.Helpers, "note": v.Note}
}

// CreateSessionExceptions adds exceptions, all or none. *garage.InvalidError for what does not hold.
func (s *Store) CreateSessionExceptions(ctx context.Context, all ...garage.SessionException) error {
	for _, v := range all {
		if err := v.Validate(); err != nil {
			return err
		}
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		for _, v := range all {
			_, err := insert[garage.ExceptionID](ctx, tx, `
				insert into session_exceptions (on_date, off, from_minute, to_minute, helpers, note)
				values (@on, @off, @from, @to, @helpers, @note) returning id`, exceptionArgs(v))
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// UpdateSessionException saves an exception. *garage.InvalidError for what does not hold, garage.ErrConflict for an old
// version, garage.ErrNotFound when it is gone.
func (s *Store) UpdateSessionException(ctx context.Context, v garage.SessionException) error {
	if err := v.Validate(); err != nil {
		return err
	}
	return s.inTx(ctx, func(tx pgx.Tx) error {
		a := exceptionArgs(v)
		a["id"], a["version"] = v.ID, v.Version
		return update(ctx, tx, "session_exceptions", `
			update session_exceptions set
			  version = version + 1,
			  on_date = @on,
			  off = @off,
			  from_minute = @from,
			  to_minute = @to,
			  helpers = @helpers,
			  note = @note
			where id = @id and version = @version`, a)
	})
}

// DeleteSessionException takes an exception away and returns it, so that it can be entered again. garage.ErrNotFound when it
// is gone.
func (s *Store) DeleteSessionException(ctx context.Context, id garage.ExceptionID) (garage.SessionException, error) {
	v, err := one[garage.SessionException](ctx, s.db, `
		delete from session_exceptions where id = @id returning `+exceptionColumns, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("exception %d: %w", id, err)
	}
	return v, nil
}
