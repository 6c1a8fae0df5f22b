package main

import (
	"context"
	"errors"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/postgres"
	"axlestand/web/route"
)

// follow lets the open pages of the site's program hear of changes; what it returns stops that.
func (s *site) follow(listen func(context.Context, func(), func(garage.JobID, int64)) error) (stop func()) {
	ctx, cancel := context.WithCancel(s.Context())
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		s.handler.FollowCards(ctx, listen)
	}()
	stop = func() { cancel(); <-ended }
	s.Cleanup(stop)
	return stop
}

func (s *site) listen(ctx context.Context, ready func(), heard func(garage.JobID, int64)) error {
	return postgres.ListenCards(ctx, s.pool, ready, heard)
}

// deaf is a database whose notices do not come through.
func deaf(context.Context, func(), func(garage.JobID, int64)) error {
	return errors.New("nothing comes through")
}

// done presses what does the next step and says how long the other page took to show how many then are.
func done(t *testing.T, p *browsertest.Page, button string, other *browsertest.Page, count string) time.Duration {
	t.Helper()
	time.Sleep(450 * time.Millisecond) // sooner it is a second tap
	start := time.Now()
	p.Click(button)
	other.Has(count)
	return time.Since(start)
}

// TestBrowser_live: what is done on a card on one device shows on the others by itself, also where these ask another program on
// the same database, and where the database's notices do not come through.
func TestBrowser_live(t *testing.T) {
	t.Parallel()
	for name, heard := range map[string]bool{"stream": true, "asking": false} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			one := newSite(t, friday)
			phone := one.claim(browsertest.Phone)
			two := newSiteOn(t, one.pool, friday)
			listen := deaf
			if heard {
				listen = one.listen
			}
			one.follow(listen)
			two.follow(listen)
			job := one.writeCard(0)
			desktop := two.enter(browsertest.Desktop)
			desktop.Goto(two.base + route.Card(job))
			phone.Goto(one.base + route.Card(job))
			desktop.Has("0 of 8")
			t.Logf("shown on the desktop after %v", done(t, phone, "Done", desktop, "1 of 8"))
			t.Logf("shown on the phone after %v", done(t, desktop, "Reached 70 Nm + 90°", phone, "2 of 8"))
		})
	}
}

// TestBrowser_live_comes_back: a page whose stream ends asks, and listens again later.
func TestBrowser_live_comes_back(t *testing.T) {
	t.Parallel()
	s := newSite(t, friday)
	stop := s.follow(s.listen)
	job := s.writeCard(0)
	phone := s.claim(browsertest.Phone)
	desktop := s.enter(browsertest.Desktop)
	desktop.Goto(s.base + route.Card(job))
	phone.Goto(s.base + route.Card(job))
	desktop.Has("0 of 8")
	stop()
	done(t, phone, "Done", desktop, "1 of 8")
}
