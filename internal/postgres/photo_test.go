package postgres_test

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"testing"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
	"axlestand/internal/postgres"
)

// picture is a photo of a car with bytes of every value in it.
func picture(of garage.CarID, fill byte) garage.NewPhoto {
	full := bytes.Repeat([]byte{0xff, 0xd8, 0, '\\', '\n', '\t', fill}, 50_000)
	sum := sha256.Sum256(full)
	return garage.NewPhoto{
		Of: garage.PhotoSubject{Kind: garage.PhotoOfCar, ID: int64(of)}, Hash: sum[:], Width: 2560, Height: 1440,
		Full: full, Small: full[:1000], Note: "hose, upper", At: backupTime,
	}
}

func TestStore_Photos(t *testing.T) {
	t.Parallel()
	s, ctx := postgres.New(pgtest.Tx(t)), t.Context()
	car, err := s.CreateCar(ctx, garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	p := picture(car, 1)
	p.Key = "one form"
	for range 2 {
		if err := s.AddPhoto(ctx, p); err != nil {
			t.Fatal(err)
		}
	}
	photos, err := s.Photos(ctx, p.Of)
	if err != nil || len(photos) != 1 || photos[0].Note != "hose, upper" || photos[0].Width != 2560 {
		t.Fatal("one form sent twice makes", photos, err)
	}
	for _, key := range []string{"", "another form"} { // the same picture, used again
		p.Key = key
		if err := s.AddPhoto(ctx, p); err != nil {
			t.Fatal(err)
		}
	}
	photos, err = s.Photos(ctx, p.Of)
	if err != nil || len(photos) != 3 || photos[0].PhotoID != photos[2].PhotoID {
		t.Error("the same picture three times is", photos, err)
	}
	if err := s.DeletePhotoUse(ctx, photos[0].ID); err != nil {
		t.Error(err)
	}
	if err := s.DeletePhotoUse(ctx, photos[0].ID); !errors.Is(err, garage.ErrNotFound) {
		t.Error("deleted twice:", err)
	}
	if err := s.RestorePhotoUse(ctx, photos[0].ID); err != nil {
		t.Error(err)
	}
	long := p
	long.Note = string(bytes.Repeat([]byte("ü"), 501))
	var invalid *garage.InvalidError
	if err := s.AddPhoto(ctx, long); !errors.As(err, &invalid) {
		t.Error("a note of 501 characters:", err)
	}
	if err := s.DeleteCar(ctx, car); err != nil {
		t.Fatal(err)
	}
	if err := s.AddPhoto(ctx, p); !errors.Is(err, garage.ErrNotFound) {
		t.Error("a photo of a car that is gone:", err)
	}
	if _, err := s.PhotoFile(ctx, 999_999, true); !errors.Is(err, garage.ErrNotFound) {
		t.Error("a photo that there is not:", err)
	}
}

// TestRestore_brings_photos_back, byte for byte.
func TestRestore_brings_photos_back(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s, ctx := postgres.New(pool), t.Context()
	car, err := s.CreateCar(ctx, garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	want := picture(car, 7)
	if err := s.AddPhoto(ctx, want); err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if _, err := postgres.Backup(ctx, pool, &file, backupTime); err != nil {
		t.Fatal(err)
	}
	url := pgtest.Empty(t)
	if _, err := restore(t, url, file.Bytes()); err != nil {
		t.Fatal(err)
	}
	back, err := postgres.Open(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	defer back.Close()
	restored := postgres.New(back)
	photos, err := restored.Photos(ctx, want.Of)
	if err != nil || len(photos) != 1 || !photos[0].At.Equal(backupTime) {
		t.Fatal("the photos that came back are", photos, err)
	}
	for small, jpeg := range map[bool][]byte{false: want.Full, true: want.Small} {
		got, err := restored.PhotoFile(ctx, photos[0].PhotoID, small)
		if err != nil || !bytes.Equal(got.JPEG, jpeg) || !bytes.Equal(got.Hash, want.Hash) {
			t.Errorf("small %v: %d bytes came back of %d, %v", small, len(got.JPEG), len(jpeg), err)
		}
	}
}
