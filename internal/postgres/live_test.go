package postgres

import (
	"context"
	"testing"
	"time"

	"axlestand/internal/garage"
	"axlestand/internal/garagetest"
	"axlestand/internal/pgtest"
)

func TestListenCards_hearsWhatIsKeptAndNothingElse(t *testing.T) {
	t.Parallel()
	pool := pgtest.Pool(t)
	s := New(pool)
	ctx, cancel := context.WithCancel(t.Context())
	ready, ended := make(chan bool), make(chan error)
	type said struct {
		job   garage.JobID
		count int64
	}
	heard := make(chan said, 10)
	go func() {
		ended <- ListenCards(ctx, pool, func() { close(ready) }, func(job garage.JobID, count int64) { heard <- said{job, count} })
	}()
	select {
	case <-ready:
	case err := <-ended:
		t.Fatal(err)
	}
	car, err := s.CreateCar(ctx, garagetest.Car())
	if err != nil {
		t.Fatal(err)
	}
	job, err := s.CreateJob(ctx, garagetest.Job(func(j *garage.Job) { j.CarID, j.PhaseID = car, nil }), nil, garagetest.Stage())
	if err != nil {
		t.Fatal(err)
	}
	if n, err := s.CardCount(ctx, job); err != nil || n != 0 {
		t.Fatalf("a card that never changed did %d times, %v", n, err)
	}
	if err := s.Leave(ctx, garage.Leaving{JobID: job, At: time.Now(), Loose: "a hose"}); err != nil {
		t.Fatal(err)
	}
	n, err := s.CardCount(ctx, job)
	if got := <-heard; err != nil || n == 0 || got != (said{job, n}) {
		t.Errorf("heard %+v, the count is %d, %v", got, n, err)
	}
	// what does not come to be is not said
	_, _, err = s.Once(ctx, garage.Operation{Actor: "owner", Key: "k", Request: []byte("leave")}, func(ctx context.Context) (garage.Answered, bool) {
		return garage.Answered{}, s.Leave(ctx, garage.Leaving{JobID: job, At: time.Now()}) != nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := pool.Exec(ctx, "select pg_notify($1, 'somebody else''s test')", liveChannel); err != nil {
		t.Fatal(err)
	}
	if err := s.Return(ctx, job, time.Now(), nil); err != nil {
		t.Fatal(err)
	}
	if got := <-heard; got.job != job || got.count <= n {
		t.Errorf("heard %+v after %d", got, n)
	}
	cancel()
	if err := <-ended; err == nil {
		t.Error("ended without saying why")
	}
}
