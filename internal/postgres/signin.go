package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

const signinColumns = `token_hash, created_at, seen_at, agent, address, sure_at`

// liveSignins are those neither too old nor unused for too long.
const liveSignins = `created_at > @max and seen_at > @idle`

func liveAt(now time.Time) args {
	return args{"max": now.Add(-garage.SigninMax), "idle": now.Add(-garage.SigninIdle)}
}

// CreateSignin keeps a new sign-in and clears away those that have run out.
func (s *Store) CreateSignin(ctx context.Context, v garage.Signin) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `delete from signins where not (`+liveSignins+`)`, liveAt(v.CreatedAt)); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `
			insert into signins (token_hash, created_at, seen_at, agent, address, sure_at)
			values (@hash, @created, @seen, @agent, @address, @sure)`,
			args{"hash": v.TokenHash, "created": v.CreatedAt, "seen": v.SeenAt, "agent": v.Agent, "address": v.Address, "sure": v.SureAt})
		return err
	})
}

// Signin is the sign-in with that token's hash; garage.ErrNotFound when there is none or it has run out.
func (s *Store) Signin(ctx context.Context, hash []byte, now time.Time) (garage.Signin, error) {
	a := liveAt(now)
	a["hash"] = hash
	return one[garage.Signin](ctx, s.db, `select `+signinColumns+` from signins where token_hash = @hash and `+liveSignins, a)
}

// TouchSignin notes that a sign-in was used; nothing happens when there is none.
func (s *Store) TouchSignin(ctx context.Context, hash []byte, now time.Time) error {
	_, err := s.db.Exec(ctx, `update signins set seen_at = @now where token_hash = @hash`, args{"hash": hash, "now": now})
	return mapError(err)
}

// Signins are those that have not run out, the last used first.
func (s *Store) Signins(ctx context.Context, now time.Time) ([]garage.Signin, error) {
	return list[garage.Signin](ctx, s.db, `
		select `+signinColumns+` from signins where `+liveSignins+` order by seen_at desc, created_at desc, token_hash`, liveAt(now))
}

// DeleteSignin ends one; garage.ErrNotFound when there is none.
func (s *Store) DeleteSignin(ctx context.Context, hash []byte) error {
	tag, err := s.db.Exec(ctx, `delete from signins where token_hash = @hash`, args{"hash": hash})
	if err == nil && tag.RowsAffected() == 0 {
		return garage.ErrNotFound
	}
	return mapError(err)
}

// DeleteOtherSignins ends all but one.
func (s *Store) DeleteOtherSignins(ctx context.Context, keep []byte) error {
	_, err := s.db.Exec(ctx, `delete from signins where token_hash <> @keep`, args{"keep": keep})
	return mapError(err)
}

// SignedInFrom says whether a sign-in that has not run out was made from that address.
func (s *Store) SignedInFrom(ctx context.Context, address string, now time.Time) (bool, error) {
	a := liveAt(now)
	a["address"] = address
	var known bool
	err := s.db.QueryRow(ctx, `select exists (select from signins where address = @address and `+liveSignins+`)`, a).Scan(&known)
	return known, mapError(err)
}
