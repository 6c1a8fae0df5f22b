package postgres_test

import (
	"bytes"
	"errors"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

var doorsNow = time.Date(2027, 3, 5, 18, 0, 0, 0, time.UTC)

// hashOf is a hash for tests: 32 bytes alike.
func hashOf(b byte) []byte { return bytes.Repeat([]byte{b}, 32) }

func TestStore_Claim(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	if claimed, err := s.Claimed(ctx); claimed || err != nil {
		t.Fatalf("claimed %v, %v", claimed, err)
	}
	if _, err := s.PasswordHash(ctx); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("password before claim: %v", err)
	}
	if err := s.SetPassword(ctx, "secret", nil); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("set password before claim: %v", err)
	}
	if err := s.SetClaimCode(ctx, hashOf(1), doorsNow.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	if err := s.SetClaimCode(ctx, hashOf(2), doorsNow.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		code []byte
		at   time.Time
	}{
		"a code of an earlier start": {hashOf(1), doorsNow},
		"an unknown code":            {hashOf(3), doorsNow},
		"an expired code":            {hashOf(2), doorsNow.Add(time.Hour)},
	} {
		if holds, err := s.ClaimCodeHolds(ctx, c.code, c.at); holds || err != nil {
			t.Errorf("%s holds: %v, %v", name, holds, err)
		}
		if err := s.Claim(ctx, c.code, "secret", c.at); !errors.Is(err, garage.ErrNotFound) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if holds, err := s.ClaimCodeHolds(ctx, hashOf(2), doorsNow); !holds || err != nil {
		t.Errorf("the code does not hold: %v", err)
	}
	if err := s.Claim(ctx, hashOf(2), "secret", doorsNow); err != nil {
		t.Fatal(err)
	}
	if hash, err := s.PasswordHash(ctx); hash != "secret" || err != nil {
		t.Errorf("password %q, %v", hash, err)
	}
	for _, again := range []error{s.Claim(ctx, hashOf(2), "theirs", doorsNow), s.ClaimFromHost(ctx, "theirs", doorsNow)} {
		if !errors.Is(again, garage.ErrConflict) {
			t.Errorf("claimed again: %v", again)
		}
	}
	if hash, _ := s.PasswordHash(ctx); hash != "secret" {
		t.Errorf("the second claim changed the password to %q", hash)
	}
}

func TestStore_Signin(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	at := func(b byte, created, seen time.Duration) garage.Signin {
		return garage.Signin{
			TokenHash: hashOf(b), CreatedAt: doorsNow.Add(-created), SeenAt: doorsNow.Add(-seen), Agent: "Widget", Address: "192.0.2.7",
		}
	}
	day := 24 * time.Hour
	for _, v := range []garage.Signin{at(1, 89*day, 29*day), at(2, day, time.Hour)} {
		if err := s.CreateSignin(ctx, v); err != nil {
			t.Fatal(err)
		}
	}
	if v, err := s.Signin(ctx, hashOf(1), doorsNow); err != nil || v.Agent != "Widget" || v.Address != "192.0.2.7" {
		t.Errorf("%+v, %v", v, err)
	}
	if _, err := s.Signin(ctx, hashOf(9), doorsNow); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("unknown: %v", err)
	}
	if _, err := s.Signin(ctx, hashOf(1), doorsNow.Add(day)); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("30 days unused: %v", err)
	}
	if err := s.TouchSignin(ctx, hashOf(1), doorsNow); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Signin(ctx, hashOf(1), doorsNow.Add(day-time.Second)); err != nil {
		t.Errorf("used a day ago: %v", err)
	}
	if _, err := s.Signin(ctx, hashOf(1), doorsNow.Add(day)); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("90 days old: %v", err)
	}
	all, err := s.Signins(ctx, doorsNow)
	if err != nil || len(all) != 2 || all[0].TokenHash[0] != 1 {
		t.Errorf("%v, %v; want the last used first", all, err)
	}
	if known, err := s.SignedInFrom(ctx, "192.0.2.7", doorsNow); !known || err != nil {
		t.Errorf("address not known: %v", err)
	}
	if known, err := s.SignedInFrom(ctx, "192.0.2.8", doorsNow); known || err != nil {
		t.Errorf("stranger known: %v", err)
	}
	if err := s.DeleteSignin(ctx, hashOf(1)); err != nil {
		t.Fatal(err)
	}
	if err := s.DeleteSignin(ctx, hashOf(1)); !errors.Is(err, garage.ErrNotFound) {
		t.Errorf("deleted twice: %v", err)
	}
	short := at(4, 0, 0)
	short.TokenHash = []byte("short")
	if err := s.CreateSignin(ctx, short); err == nil {
		t.Error("a token that is no hash was kept")
	}
}

func TestStore_SetPassword(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := postgres.New(pgtest.Tx(t))
	if err := s.ClaimFromHost(ctx, "old", doorsNow); err != nil {
		t.Fatal(err)
	}
	left := func() int {
		t.Helper()
		all, err := s.Signins(ctx, doorsNow)
		if err != nil {
			t.Fatal(err)
		}
		return len(all)
	}
	for b := range byte(3) {
		if err := s.CreateSignin(ctx, garage.Signin{TokenHash: hashOf(b), CreatedAt: doorsNow, SeenAt: doorsNow}); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.SetPassword(ctx, "new", hashOf(0)); err != nil {
		t.Fatal(err)
	}
	if hash, _ := s.PasswordHash(ctx); hash != "new" || left() != 1 {
		t.Errorf("password %q, %d sign-ins left; want new and 1", hash, left())
	}
	if err := s.DeleteOtherSignins(ctx, hashOf(0)); err != nil || left() != 1 {
		t.Errorf("%d left, %v", left(), err)
	}
	if err := s.SetPassword(ctx, "newer", nil); err != nil || left() != 0 {
		t.Errorf("%d left, %v; want none", left(), err)
	}
}

func TestStore_Signin_runOutIsClearedAway(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	tx := pgtest.Tx(t)
	s := postgres.New(tx)
	for i, at := range []time.Time{doorsNow, doorsNow.Add(garage.SigninIdle)} {
		if err := s.CreateSignin(ctx, garage.Signin{TokenHash: hashOf(byte(i)), CreatedAt: at, SeenAt: at}); err != nil {
			t.Fatal(err)
		}
	}
	var rows int
	if err := tx.QueryRow(ctx, "select count(*) from signins").Scan(&rows); err != nil || rows != 1 {
		t.Errorf("%d rows, %v; want the new one alone", rows, err)
	}
}
