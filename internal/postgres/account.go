package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"axlestand/internal/garage"
)

// Claimed says whether the garage has an owner.
func (s *Store) Claimed(ctx context.Context) (bool, error) {
	var claimed bool
	err := s.db.QueryRow(ctx, `select exists (select from account)`).Scan(&claimed)
	return claimed, mapError(err)
}

// PasswordHash is the owner's; garage.ErrNotFound before the garage is claimed.
func (s *Store) PasswordHash(ctx context.Context) (string, error) {
	var hash string
	err := s.db.QueryRow(ctx, `select password_hash from account`).Scan(&hash)
	return hash, mapError(err)
}

// SetClaimCode keeps the hash of the code that claims the garage until it expires. Codes set before are void.
func (s *Store) SetClaimCode(ctx context.Context, hash []byte, expires time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `delete from claim_codes`); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `insert into claim_codes (code_hash, expires_at) values (@hash, @expires)`,
			args{"hash": hash, "expires": expires})
		return err
	})
}

// ClaimCodeHolds says whether a code may claim the garage now, without using it up.
func (s *Store) ClaimCodeHolds(ctx context.Context, hash []byte, now time.Time) (bool, error) {
	var holds bool
	err := s.db.QueryRow(ctx, `select exists (select from claim_codes where code_hash = @hash and expires_at > @now)`,
		args{"hash": hash, "now": now}).Scan(&holds)
	return holds, mapError(err)
}

// Claim makes whoever holds the code the owner. Of many at once one wins: garage.ErrConflict when there is an owner already,
// garage.ErrNotFound when the code is not known or has expired.
func (s *Store) Claim(ctx context.Context, codeHash []byte, passwordHash string, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		// The row is locked by the first; the others wait here, then find it gone.
		tag, err := tx.Exec(ctx, `delete from claim_codes where code_hash = @hash and expires_at > @now`,
			args{"hash": codeHash, "now": now})
		if err != nil {
			return err
		}
		if tag.RowsAffected() == 0 {
			return claimRefused(ctx, tx)
		}
		return claim(ctx, tx, passwordHash, now)
	})
}

// ClaimFromHost makes an owner without a code: for who can start the program. garage.ErrConflict when there is one already.
func (s *Store) ClaimFromHost(ctx context.Context, passwordHash string, now time.Time) error {
	return s.inTx(ctx, func(tx pgx.Tx) error { return claim(ctx, tx, passwordHash, now) })
}

func claim(ctx context.Context, tx pgx.Tx, passwordHash string, now time.Time) error {
	tag, err := tx.Exec(ctx, `
		insert into account (password_hash, claimed_at) values (@hash, @now) on conflict do nothing`,
		args{"hash": passwordHash, "now": now})
	if err != nil {
		return err
	}
	if tag.RowsAffected() == 0 {
		return garage.ErrConflict
	}
	_, err = tx.Exec(ctx, `delete from claim_codes`)
	return err
}

func claimRefused(ctx context.Context, tx pgx.Tx) error {
	var claimed bool
	if err := tx.QueryRow(ctx, `select exists (select from account)`).Scan(&claimed); err != nil {
		return err
	}
	if claimed {
		return garage.ErrConflict
	}
	return garage.ErrNotFound
}

// SetPassword gives the owner another password and ends every sign-in but the one to keep, which may be nil.
// garage.ErrNotFound before the garage is claimed.
func (s *Store) SetPassword(ctx context.Context, passwordHash string, keep []byte) error {
	return s.inTx(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `update account set password_hash = @hash`, args{"hash": passwordHash})
		if err != nil {
			return err
		}
		if tag.RowsAffected() == 0 {
			return garage.ErrNotFound
		}
		_, err = tx.Exec(ctx, `delete from signins where token_hash is distinct from @keep`, args{"keep": keep})
		return err
	})
}
