package server

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"axlestand/internal/browsertest"
	"axlestand/internal/garage"
	"axlestand/internal/photo"
	"axlestand/web/route"
)

// bench is a card on a phone, with files to choose from.
type bench struct {
	*kept
	first *browsertest.Page // keeps the browser's storage while the other is killed
	card  string
	steps []garage.StepID
	job   garage.JobID
	dir   string
}

func newBench(t *testing.T, serve func(testing.TB, *browsertest.Line) string) *bench {
	t.Helper()
	b := &bench{kept: newKept(t, serve), dir: t.TempDir()}
	b.job = b.addJob(b.addCar(), "Rear brakes")
	var err error
	b.steps, err = b.store.AddSteps(t.Context(), b.stageOf(b.job), 0, []garage.Step{
		{Kind: garage.PhotoStep, Text: "How the cable lies"}, {Kind: garage.DoStep, Text: "Cable out of its clips"},
	})
	if err != nil {
		t.Fatal(err)
	}
	b.card = b.base + route.Card(b.job)
	b.first = b.page
	b.first.Goto("about:blank")
	b.open()
	return b
}

// open opens the card in a new tab.
func (b *bench) open() {
	b.Helper()
	b.page = b.first.Tab(browsertest.BadLine)
	b.page.Goto(b.card)
}

// file is one to choose, of any content.
func (b *bench) file(name string, content []byte) string {
	b.Helper()
	path := filepath.Join(b.dir, name)
	if err := os.WriteFile(path, content, 0o600); err != nil {
		b.Fatal(err)
	}
	return path
}

// take chooses a file as the photo of a step and keeps it.
func (b *bench) take(step int, file, note string) {
	b.Helper()
	time.Sleep(450 * time.Millisecond) // sooner it is a second tap
	b.page.Choose(fmt.Sprintf("#f-photo-step-%d", b.steps[step]), file)
	row := b.page.In(fmt.Sprintf("#step-%d", b.steps[step]))
	row.Fill("What it shows", note)
	row.Click("Keep photo")
}

// notes waits until so many photos are kept at a step, and gives what was written to them, in order.
func (b *bench) notes(step, many int) (notes []string) {
	b.Helper()
	for end := time.Now().Add(15 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		photos, err := b.store.Photos(b.Context(), garage.PhotoSubject{Kind: garage.PhotoOfStep, ID: int64(b.steps[step])})
		if err != nil {
			b.Fatal(err)
		}
		notes = nil
		for _, p := range photos {
			notes = append(notes, p.Note)
		}
		if len(notes) == many {
			break
		}
	}
	return notes
}

func TestBrowser_outboxPhoto(t *testing.T) {
	t.Parallel()
	for name, serve := range map[string]func(testing.TB, *browsertest.Line) string{"http": overHTTP, "https": overHTTPS} {
		t.Run("taken without a line, over "+name, func(t *testing.T) {
			t.Parallel()
			b := newBench(t, serve)
			if name == "https" {
				browsertest.Eval[bool](b.page, `navigator.serviceWorker.ready.then(() => new Promise((go) => setTimeout(() => go(true), 500)))`)
			}
			b.line.Set(browsertest.Down)
			b.take(0, b.file("left.jpg", camera(t, 90)), "left")
			b.page.Has("1 not sent")
			b.take(0, b.file("right.jpg", camera(t, 200)), "right")
			b.page.Has("2 not sent")
			time.Sleep(450 * time.Millisecond)
			b.page.Click("Photo taken")
			b.page.Has("3 not sent")
			b.page.Kill()
			if name == "http" {
				b.line.Set(browsertest.Up)
			}
			b.open()
			if name == "https" {
				b.page.Has("3 not sent")     // the page itself was kept
				b.line.Set(browsertest.Deaf) // what is sent arrives, and nobody hears so
				b.notes(0, 1)
				b.line.Set(browsertest.Up)
			}
			b.page.Has("all sent", "1 of 2")
			if got := b.notes(0, 2); !slices.Equal(got, []string{"left", "right"}) {
				t.Errorf("the photos are %q", got)
			}
			b.page.Click(".steps .stephead")
			if n := b.page.Count(".photostrip img"); n != 2 {
				t.Errorf("%d photos are shown", n)
			}
			b.page.ShotWindow("outbox-photos-" + name)
		})
	}
	t.Run("refused", func(t *testing.T) {
		t.Parallel()
		b := newBench(t, overHTTP)
		b.take(0, b.file("notes.jpg", []byte("no photo at all")), "the wrong file")
		b.page.Has("1 refused", "Take a photo: notes.jpg", "What it shows: the wrong file", "Try again")
		b.take(0, b.file("huge.jpg", append(camera(t, 90), make([]byte, photo.MaxBytes)...)), "far too large")
		b.page.Has("2 refused", "huge.jpg", "far too large", photo.ErrTooLarge.Error())
		b.take(0, b.file("good.jpg", camera(t, 120)), "good") // what comes after is not held up
		if got := b.notes(0, 1); !slices.Equal(got, []string{"good"}) {
			t.Errorf("kept are %q", got)
		}
		b.page.Goto(b.card)
		b.page.Has("2 refused", "notes.jpg", "the wrong file")
		b.page.Shot("outbox-photos-refused")
	})
}
