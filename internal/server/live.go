package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"sync"
	"time"

	"axlestand/internal/garage"
)

// A card that is open elsewhere shows at once what is done on it: the database tells every program on it which card
// changed and how often it has (postgres.ListenCards), and each tells its pages. A page compares that count with its own, so that
// a notice lost or come twice does no harm. Where the database's notices do not come through, streams are refused and pages ask
// for the count instead.

const (
	streamBeat   = 15 * time.Second // of a stream on which nothing happens
	streamLife   = 5 * time.Minute  // then the page opens a new one, which is let in anew or not
	streamsOfOne = 12               // of the owner, or of one helper's link
	streamsOfAll = 100
	listenAgain  = 5 * time.Second
)

// streams are the pages that want to hear of a card.
type streams struct {
	mu   sync.Mutex
	open map[*stream]bool
	live bool // the database is listened to
}

// stream is one page's: it holds the newest count not told yet.
type stream struct {
	job   garage.JobID
	asker garage.LinkID // 0 is the owner
	news  chan int64    // holds one; closed to end the stream
}

func newStreams() *streams { return &streams{open: map[*stream]bool{}} }

// join is a stream of a page's own; nil when there are too many, or nothing to be heard.
func (all *streams) join(job garage.JobID, asker garage.LinkID) *stream {
	all.mu.Lock()
	defer all.mu.Unlock()
	own := 0
	for s := range all.open {
		if s.asker == asker {
			own++
		}
	}
	if !all.live || own >= streamsOfOne || len(all.open) >= streamsOfAll {
		return nil
	}
	s := &stream{job: job, asker: asker, news: make(chan int64, 1)}
	all.open[s] = true
	return s
}

func (all *streams) leave(s *stream) {
	all.mu.Lock()
	defer all.mu.Unlock()
	delete(all.open, s)
}

// tell passes a count on to those who look at the job's card.
func (all *streams) tell(job garage.JobID, count int64) {
	all.mu.Lock()
	defer all.mu.Unlock()
	for s := range all.open {
		if s.job != job {
			continue
		}
		select { // a count that was not taken yet is old
		case <-s.news:
		default:
		}
		s.news <- count
	}
}

// listening says whether changes are heard. When they are not any more, every stream ends: what was missed is asked for.
func (all *streams) listening(yes bool) {
	all.mu.Lock()
	defer all.mu.Unlock()
	all.live = yes
	if yes {
		return
	}
	for s := range all.open {
		delete(all.open, s)
		close(s.news)
	}
}

// FollowCards tells open pages of changes to cards for as long as ctx lasts, and then ends their streams. listen is
// postgres.ListenCards on a pool: it is tried again whenever it ends.
func (s *Server) FollowCards(ctx context.Context, listen func(ctx context.Context, ready func(), heard func(garage.JobID, int64)) error) {
	for ctx.Err() == nil {
		err := listen(ctx, func() { s.streams.listening(true) }, s.streams.tell)
		s.streams.listening(false)
		if ctx.Err() != nil {
			return
		}
		s.log.Warn("changes to cards are not heard; open pages ask for them", "error", err)
		select {
		case <-ctx.Done():
		case <-time.After(listenAgain):
		}
	}
}

// cardOfPath reads the job that the path names. A helper finds the link's own alone.
func (s *Server) cardOfPath(r *http.Request) (garage.JobID, error) {
	job, err := pathID[garage.JobID](r, "id")
	if link, ok := linkOf(r); ok && err == nil && !link.Opens(job) {
		err = garage.ErrNotFound
	}
	return job, err
}

// cardCount answers how often a job's card has changed, for pages that have no stream.
func (s *Server) cardCount(w http.ResponseWriter, r *http.Request) error {
	job, err := s.cardOfPath(r)
	if err != nil {
		return err
	}
	count, err := s.store.CardCount(r.Context(), job)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	_, err = fmt.Fprint(w, count)
	return err
}

// cardStream tells a page, as server-sent events, how often a job's card has changed: now, whenever it does, and from time to
// time, by which the page knows that the line still stands.
func (s *Server) cardStream(w http.ResponseWriter, r *http.Request) error {
	job, err := s.cardOfPath(r)
	if err != nil {
		return err
	}
	link, _ := linkOf(r)
	own := s.streams.join(job, link.ID) // before the count is read, so that nothing falls between
	if own == nil {
		w.WriteHeader(http.StatusNoContent) // which tells a browser not to come again by itself
		return nil
	}
	defer s.streams.leave(own)
	count, err := s.store.CardCount(r.Context(), job)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	w.Header().Set("Cache-Control", "no-store")
	w.Header().Set("X-Accel-Buffering", "no") // a proxy is not to wait for more
	if err := s.sendCounts(r.Context(), w, own, count); err != nil {
		s.log.DebugContext(r.Context(), "a stream broke off", "error", err)
	}
	return nil
}

// sendCounts writes counts until the page leaves or the stream has lived long enough.
func (s *Server) sendCounts(ctx context.Context, w http.ResponseWriter, own *stream, count int64) error {
	beat, end := time.NewTicker(streamBeat), time.NewTimer(streamLife)
	defer beat.Stop()
	defer end.Stop()
	err := sendEvent(w, fmt.Sprintf("retry: 1000\ndata: %d\n\n", count))
	for open := true; err == nil; {
		select {
		case <-ctx.Done():
			return nil
		case <-end.C:
			return nil
		case <-beat.C:
			count, err = s.store.CardCount(ctx, own.job)
		case count, open = <-own.news:
		}
		if !open || err != nil {
			return err
		}
		err = sendEvent(w, fmt.Sprintf("data: %d\n\n", count))
	}
	return err
}

// sendEvent sends a piece of a stream. The time that an answer may take is the time for this piece alone.
func sendEvent(w http.ResponseWriter, text string) error {
	control := http.NewResponseController(w)
	if err := control.SetWriteDeadline(time.Now().Add(streamBeat)); err != nil && !errors.Is(err, http.ErrNotSupported) {
		return err
	}
	if _, err := io.WriteString(w, text); err != nil {
		return err
	}
	return control.Flush()
}
