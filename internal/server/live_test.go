package server

import (
	"bufio"
	"context"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"axlestand/internal/garage"
	"axlestand/web/route"
)

// hearing makes the site's server hear of changes as if from a database; say is one of them.
func (s *site) hearing() (say func(garage.JobID, int64), end func()) {
	s.Helper()
	ctx, cancel := context.WithCancel(s.Context())
	told, ended := make(chan func(garage.JobID, int64)), make(chan bool)
	go func() {
		defer close(ended)
		s.server.FollowCards(ctx, func(ctx context.Context, ready func(), heard func(garage.JobID, int64)) error {
			ready()
			told <- heard
			<-ctx.Done()
			return ctx.Err()
		})
	}()
	end = func() { cancel(); <-ended }
	s.Cleanup(end)
	return <-told, end
}

// stream opens one; it is nil where the server gives none.
func (s *site) stream(path string) *bufio.Reader {
	s.Helper()
	r, err := http.NewRequestWithContext(s.Context(), http.MethodGet, s.url+path, nil)
	if err != nil {
		s.Fatal(err)
	}
	answer, err := s.client.Do(r)
	if err != nil {
		s.Fatal(err)
	}
	s.Cleanup(func() { answer.Body.Close() })
	if answer.StatusCode == http.StatusNoContent {
		return nil
	}
	if got := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || got != "text/event-stream" {
		s.Fatalf("%d, %q", answer.StatusCode, got)
	}
	return bufio.NewReader(answer.Body)
}

// event reads lines up to the next one with data.
func (s *site) event(stream *bufio.Reader) string {
	s.Helper()
	for {
		line, err := stream.ReadString('\n')
		if err != nil {
			return "the end"
		}
		if strings.HasPrefix(line, "data") {
			return line
		}
	}
}

func TestLive_tells_whoLooksAtTheCard(t *testing.T) {
	t.Parallel()
	s := setup(t)
	car := s.addCar()
	job, other := s.addJob(car, "Rear brakes"), s.addJob(car, "Wiper motor")
	if s.stream(route.CardLive(job)) != nil {
		t.Error("there is a stream although nothing can be heard")
	}
	say, end := s.hearing()
	stream := s.stream(route.CardLive(job))
	if got := s.event(stream); got != "data: 0\n" {
		t.Errorf("first %q", got)
	}
	say(other, 7)
	say(job, 3)
	if got := s.event(stream); got != "data: 3\n" {
		t.Errorf("then %q", got)
	}
	end()
	if got := s.event(stream); got != "the end" {
		t.Errorf("at the end of the program %q", got)
	}
	s.get(route.CardCount(job)).is(http.StatusOK).says("0")
	s.get(route.CardCount(garage.JobID(1 << 40))).is(http.StatusNotFound)
}

func TestLive_hasLimits(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.addSaturdays()
	car := s.addCar()
	job, other := s.addJob(car, "Rear brakes"), s.addJob(car, "Wiper motor")
	_, given := s.makeLink(job, url.Values{})
	s.hearing()
	h := s.helper()
	prefix := h.start(given)
	for i := range streamsOfOne {
		if h.stream(prefix+route.CardLive(job)) == nil {
			t.Fatal("no stream of number " + strconv.Itoa(i))
		}
	}
	if h.stream(prefix+route.CardLive(job)) != nil {
		t.Error("one link has more streams than it may")
	}
	if s.stream(route.CardLive(job)) == nil {
		t.Error("a helper takes the owner's streams")
	}
	h.get(prefix + route.CardLive(other)).is(http.StatusNotFound)
	h.get(prefix + route.CardCount(other)).is(http.StatusNotFound)
	h.get(prefix + route.CardCount(job)).is(http.StatusOK)
}
