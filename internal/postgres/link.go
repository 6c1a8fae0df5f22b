package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const linkColumns = `id, token_hash, name, day, rights, created_at, expires_at, revoked_at,
	(select max(seen_at) from link_browsers b where b.link_id = links.id) as seen_at,
	(select count(*) from link_browsers b where b.link_id = links.id) as browsers,
	array(select job_id from link_jobs j where j.link_id = links.id order by 1) as jobs`

// liveLinks are those that open something at a time.
const liveLinks = `revoked_at is null and expires_at > @now`

// CreateLink adds a helper link. *garage.InvalidError for what does not hold and for a job that is not there.
func (s *Store) CreateLink(ctx context.Context, v garage.Link) (id garage.LinkID, err error) {
	if err := v.Validate(); err != nil {
		return 0, err
	}
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		id, err = insert[garage.LinkID](ctx, tx, `
			insert into links (token_hash, name, day, rights, created_at, expires_at)
			values (@hash, @name, @day, @rights, @created, @expires) returning id`, args{
			"hash": v.TokenHash, "name": v.Name, "day": v.Day, "rights": string(v.Rights), "created": v.CreatedAt, "expires": v.ExpiresAt,
		})
		if err != nil {
			return err
		}
		tag, err := tx.Exec(ctx, `insert into link_jobs (link_id, job_id)
			select $1, id from jobs where id = any($2) and deleted_at is null`, id, v.Jobs)
		if err == nil && int(tag.RowsAffected()) != len(v.Jobs) {
			return garage.FieldErrors{"jobs": "One of the jobs is gone: choose again."}.Err()
		}
		return err
	})
	return id, err
}

// Links are the helper links, the last made first.
func (s *Store) Links(ctx context.Context) ([]garage.Link, error) {
	return list[garage.Link](ctx, s.db, `select `+linkColumns+` from links order by created_at desc, id desc`, args{})
}

// Link is one helper link, also one that has run out; garage.ErrNotFound when there is none.
func (s *Store) Link(ctx context.Context, id garage.LinkID) (garage.Link, error) {
	v, err := one[garage.Link](ctx, s.db, `select `+linkColumns+` from links where id = @id`, args{"id": id})
	if err != nil {
		return v, fmt.Errorf("link %d: %w", id, err)
	}
	return v, nil
}

// LinkOfToken is the helper link with that token's hash that still opens something; garage.ErrNotFound for any other.
func (s *Store) LinkOfToken(ctx context.Context, hash []byte, now time.Time) (garage.Link, error) {
	return one[garage.Link](ctx, s.db, `select `+linkColumns+` from links where token_hash = @hash and `+liveLinks,
		args{"hash": hash, "now": now})
}

// StartLink lets a browser in with a helper link. garage.ErrNotFound when the link has run out meanwhile.
func (s *Store) StartLink(ctx context.Context, id garage.LinkID, hash []byte, agent string, now time.Time) error {
	tag, err := s.db.Exec(ctx, `
		insert into link_browsers (token_hash, link_id, started_at, seen_at, agent)
		select @hash, id, @now, @now, @agent from links where id = @id and `+liveLinks,
		args{"hash": hash, "id": id, "now": now, "agent": agent})
	if err == nil && tag.RowsAffected() == 0 {
		return garage.ErrNotFound
	}
	return mapError(err)
}

// LinkOfBrowser is the link that a browser started with, and notes that it was used; garage.ErrNotFound when it opens nothing
// any more.
func (s *Store) LinkOfBrowser(ctx context.Context, id garage.LinkID, hash []byte, now time.Time) (garage.Link, error) {
	var v garage.Link
	err := s.inTx(ctx, func(tx pgx.Tx) (err error) {
		v, err = one[garage.Link](ctx, tx, `select `+linkColumns+` from links where id = @id and `+liveLinks+`
			and exists (select from link_browsers b where b.link_id = links.id and b.token_hash = @hash)`,
			args{"id": id, "hash": hash, "now": now})
		if err != nil {
			return err
		}
		// once a minute is exact enough, and spares the writing
		_, err = tx.Exec(ctx, `update link_browsers set seen_at = @now where token_hash = @hash and seen_at < @before`,
			args{"hash": hash, "now": now, "before": now.Add(-time.Minute)})
		return err
	})
	return v, err
}

// RevokeLink ends a helper link; one that is ended stays so. garage.ErrNotFound when there is none.
func (s *Store) RevokeLink(ctx context.Context, id garage.LinkID, now time.Time) error {
	tag, err := s.db.Exec(ctx, `update links set revoked_at = coalesce(revoked_at, @now) where id = @id`, args{"id": id, "now": now})
	if err == nil && tag.RowsAffected() == 0 {
		return garage.ErrNotFound
	}
	return mapError(err)
}

// RevokeLinks ends all helper links.
func (s *Store) RevokeLinks(ctx context.Context, now time.Time) error {
	_, err := s.db.Exec(ctx, `update links set revoked_at = @now where revoked_at is null`, args{"now": now})
	return mapError(err)
}

// LinkMarks are the marks that were made with a helper link, in order, with those that undid some of them.
func (s *Store) LinkMarks(ctx context.Context, id garage.LinkID) ([]garage.StepMark, error) {
	return list[garage.StepMark](ctx, s.db, `select `+markColumns+` from step_marks
		where by_link = @id or reverses in (select id from step_marks where by_link = @id) order by id`, args{"id": id})
}

// UndoLinkWork reverses every mark that a helper made and that still stands, the last first, and counts them. The marks of jobs
// that are closed stay.
func (s *Store) UndoLinkWork(ctx context.Context, id garage.LinkID, now time.Time) (undone int, err error) {
	err = s.inTx(ctx, func(tx pgx.Tx) error {
		marks, err := list[garage.StepMark](ctx, tx, `select `+markColumns+` from step_marks m
			where by_link = @id and kind <> 'undone' and not exists (select from step_marks u where u.reverses = m.id)
				and exists (select from jobs j where j.id = m.job_id and j.closed_at is null and j.deleted_at is null)
			order by id desc`, args{"id": id})
		if err != nil {
			return err
		}
		for _, m := range marks {
			if err := undoMark(ctx, tx, m, garage.StepMark{At: now}, now); err != nil {
				return err
			}
		}
		undone = len(marks)
		return nil
	})
	return undone, err
}

// JobsByID are jobs by their ids, also closed ones, by title.
func (s *Store) JobsByID(ctx context.Context, ids []garage.JobID) ([]garage.Job, error) {
	return list[garage.Job](ctx, s.db, `select `+jobColumns+` from jobs where id = any(@ids) and deleted_at is null
		order by lower(title), id`, args{"ids": ids})
}

// StepTexts are the texts of all steps of some jobs, also of those that are gone from their card.
func (s *Store) StepTexts(ctx context.Context, jobs []garage.JobID) (map[garage.StepID]string, error) {
	type text struct {
		ID   garage.StepID
		Text string
	}
	all, err := list[text](ctx, s.db, `select s.id, s.text from steps s join stages g on g.id = s.stage_id where g.job_id = any(@jobs)`,
		args{"jobs": jobs})
	texts := map[garage.StepID]string{}
	for _, t := range all {
		texts[t.ID] = t.Text
	}
	return texts, err
}
