package browsertest

import (
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"
)

func TestSlow(t *testing.T) {
	t.Parallel()
	quick := Serve(t, http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, strings.Repeat("x", 25_000)) }))
	for _, c := range []struct {
		loss        float64
		least, most time.Duration
	}{
		{0, 1300 * time.Millisecond, 1700 * time.Millisecond}, // 400 ms to connect, 400 to and fro, 500 for 25 KB
		{.6, 1900 * time.Millisecond, 20 * time.Second},
	} {
		slow, err := url.Parse(Slow(t, quick, Bad{BitsPerSecond: 400_000, RoundTrip: 400 * time.Millisecond, Loss: c.loss, Seed: 1}))
		if err != nil {
			t.Fatal(err)
		}
		start := time.Now()
		client := http.Client{Transport: &http.Transport{DisableCompression: true}}
		resp, err := client.Get("http://127.0.0.1:" + slow.Port())
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		client.CloseIdleConnections()
		if took := time.Since(start); err != nil || len(body) != 25_000 || took < c.least || took > c.most {
			t.Errorf("%d bytes in %v with %.0f %% lost (%v)", len(body), took, 100*c.loss, err)
		}
	}
}
