package server

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/textproto"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"axlestand/internal/htmltest"
)

// sample is a request that a page of the program leads to: a link, or a form as it stands.
type sample struct {
	path string // with its query
	form url.Values
}

// collect follows what the owner's pages lead to, and keeps some samples of each address.
func (r *trial) collect() {
	r.Helper()
	r.samples = map[string][]sample{}
	queue := []string{"/"}
	for len(queue) > 0 {
		path := queue[0]
		queue = queue[1:]
		if !r.keep(http.MethodGet, sample{path: path}, 3) {
			continue
		}
		w := r.ask(path)
		if !strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") {
			continue
		}
		doc := htmltest.Parse(r.T, w.Body.String())
		for _, a := range doc.FindAll("a[href]") {
			if href, _, _ := strings.Cut(a.Attr("href"), "#"); strings.HasPrefix(href, "/") {
				queue = append(queue, href)
			}
		}
		for _, form := range doc.FindAll("form[method=post]") {
			r.keep(http.MethodPost, sample{path: form.Attr("action"), form: form.FormValues()}, 6)
		}
	}
	home := fmt.Sprintf("/help/%d", r.roles[2].link)
	r.keep(http.MethodGet, sample{path: home}, 1)
	r.keep(http.MethodGet, sample{path: fmt.Sprintf("%s/jobs/%d/card", home, r.jobs[0])}, 1)
	r.keep(http.MethodGet, sample{path: fmt.Sprintf("%s/jobs/%d/card", home, r.jobs[1])}, 2)
	for _, step := range r.steps {
		tick := url.Values{"kind": {"done"}, "once": {"x"}}
		r.keep(http.MethodPost, sample{path: fmt.Sprintf("%s/steps/%d/mark", home, step), form: tick}, 4)
		r.keep(http.MethodPost, sample{path: fmt.Sprintf("%s/steps/%d/undo", home, step), form: tick}, 4)
	}
	if len(r.samples) < 120 {
		r.Fatalf("the pages lead to %d addresses only", len(r.samples))
	}
}

// photograph gives the first job a photo.
func (r *trial) photograph() {
	r.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("photo", "a.jpg")
	if err == nil {
		_, err = part.Write(camera(r.T, 90))
	}
	if err := errors.Join(err, w.Close()); err != nil {
		r.Fatal(err)
	}
	req := httptest.NewRequestWithContext(r.Context(), http.MethodPost, fmt.Sprintf("/jobs/%d/photos", r.jobs[0]), &b)
	req.Host = "localhost"
	req.Header.Set("Content-Type", w.FormDataContentType())
	req.AddCookie(r.roles[1].cookie)
	answer := httptest.NewRecorder()
	if r.server.ServeHTTP(answer, req); answer.Code != http.StatusSeeOther {
		r.Fatalf("the photo is answered %d: %s", answer.Code, answer.Body)
	}
}

// keep notes a sample, unless it is known or there are enough of its address.
func (r *trial) keep(method string, s sample, most int) bool {
	req := httptest.NewRequest(method, s.path, nil)
	pattern := r.matched(req)
	if pattern == "" || len(r.samples[pattern]) >= most || slices.ContainsFunc(r.samples[pattern], func(have sample) bool { return have.path == s.path }) {
		return false
	}
	r.samples[pattern] = append(r.samples[pattern], s)
	return true
}

// ask gets a page as the owner.
func (r *trial) ask(path string) *httptest.ResponseRecorder {
	r.Helper()
	req := httptest.NewRequestWithContext(r.Context(), http.MethodGet, path, nil)
	req.Host = "localhost"
	req.AddCookie(r.roles[1].cookie)
	w := httptest.NewRecorder()
	r.server.ServeHTTP(w, req)
	if w.Code >= 500 {
		r.Fatalf("%s is answered %d: %s", path, w.Code, r.log)
	}
	return w
}

// draft is a request in the making.
type draft struct {
	method, path string // the path with its query, as it goes over the line
	header       http.Header
	body         []byte
	oddHost      bool // it calls the program by another's name
	oddOrigin    bool // it says that another site's page sent it
	host         string
}

func (d draft) String() string {
	return fmt.Sprintf("%s %.300s Host: %s %v\n%.600q", d.method, d.path, d.host, d.header, d.body)
}

// http is the request as the server reads it; false for what no server would hand on.
func (d draft) http(who role) (*http.Request, bool) {
	u, err := url.ParseRequestURI(d.path)
	if err != nil || u.Host != "" || !strings.HasPrefix(u.Path, "/") {
		return nil, false
	}
	req := &http.Request{
		Method: d.method, URL: u, RequestURI: d.path, Proto: "HTTP/1.1", ProtoMajor: 1, ProtoMinor: 1, Header: d.header, Host: d.host,
		RemoteAddr: "127." + strconv.Itoa(len(d.path)%256) + "." + strconv.Itoa(len(d.body)/256%256) + "." + strconv.Itoa(len(d.body)%256) + ":5000",
		Body:       http.NoBody, ContentLength: int64(len(d.body)),
	}
	if len(d.body) > 0 {
		req.Body = io.NopCloser(bytes.NewReader(d.body))
	}
	if who.cookie != nil {
		req.AddCookie(who.cookie)
	}
	return req, true
}

// make makes a request for an address: one of the samples, or one filled in at random, mangled in none or some ways.
func (r *trial) make(rng *rand.Rand, who role, address string) draft {
	method, pattern, _ := strings.Cut(address, " ")
	s := sample{path: r.path(rng, who, pattern)}
	if have := r.samples[address]; len(have) > 0 && rng.IntN(4) > 0 {
		s = have[rng.IntN(len(have))]
	}
	form := maps.Clone(s.form)
	if form == nil {
		form = url.Values{}
	}
	if form.Has("once") { // a form that was opened anew
		form.Set("once", strconv.FormatUint(rng.Uint64(), 36))
	}
	d := draft{method: method, path: s.path, header: http.Header{}, host: "localhost"}
	for range rng.IntN(4) {
		r.mangleForm(rng, form)
	}
	if method == http.MethodPost {
		d.fill(rng, form)
	} else if rng.IntN(2) == 0 {
		d.query(rng)
	}
	for range rng.IntN(3) {
		d.mangle(rng)
	}
	return d
}

// path fills in a pattern.
func (r *trial) path(rng *rand.Rand, who role, pattern string) string {
	parts := strings.Split(pattern, "/")
	for i, part := range parts {
		switch {
		case part == "{link}" && who.link != 0 && rng.IntN(4) > 0:
			parts[i] = strconv.FormatInt(int64(who.link), 10)
		case part == "{token}":
			parts[i] = junk(rng)
		case part == "{name}":
			parts[i] = pick(rng, "torque", "fluid", "tyres", "vin", "x", "..%2f..%2fetc", "%00")
		case part == "*":
			parts[i] = pick(rng, "x/app.css", "x/js/card.js", "x/..%2f..%2fserver.go", "x/../../etc/passwd", "", "newest/worker.js", "x/%00")
		case strings.HasPrefix(part, "{"):
			parts[i] = pick(rng, ids...)
		}
	}
	return strings.Join(parts, "/")
}

var ids = []string{
	"1", "1", "2", "2", "3", "3", "4", "5", "6", "7", "8", "9", "12", "15", "20", "0", "-1", "+1", "01", "1.0", "1e3", "999999", "9223372036854775807", "9223372036854775808",
	"x", "%00", "%31", "1%20", "%ff", "..%2f1", "1;drop", "%27", "1%2f2", strings.Repeat("9", 400), "%F0%9F%9A%97",
}

func pick(rng *rand.Rand, of ...string) string { return of[rng.IntN(len(of))] }

// odd is what does not belong into a field.
var odd = []string{
	"", "0", "-1", "1", "2", "abc", "99999999999999999999", "9223372036854775807", "-9223372036854775808", "2147483648", "1e400", "NaN", "Infinity", "1,5", "0.0000000001",
	"2027-02-31", "0001-01-01", "9999-12-31", "-4713-01-01", "294277-01-01", "2027-03-06", "25:61", "23:59", "\xff\xfe", "a\rb\x07", "'; drop table cars; --", "\\", "%", "_",
	`"><script>evil()</script>`, "\u202e\u05d0", "👩‍🔧", strings.Repeat("x", 300), strings.Repeat("W", 11_000), strings.Repeat("1", 700), "{}", "[]", "null", "yes", "on", " ", "\t", "\n\n", "1\n2\n3", "../x", "https://elsewhere.test/", "//elsewhere.test", "/x?y#z",
}

// mangleForm changes one thing in a form.
func (r *trial) mangleForm(rng *rand.Rand, form url.Values) {
	names := slices.Sorted(maps.Keys(form))
	if len(names) == 0 || rng.IntN(12) == 0 {
		form.Add(pick(rng, "id", "version", "name", "kind", "once", "note", "text", "qty", "at", "of", "job", "password", "token", "back", "", "\xff", "a.b[0]"), pick(rng, odd...))
		return
	}
	name := pick(rng, names...)
	switch rng.IntN(8) {
	case 0:
		form.Del(name)
	case 1:
		form[name] = append(form[name], form[name]...)
	case 2:
		form.Add(name, pick(rng, odd...))
	case 3:
		form[name], form[names[0]] = form[names[0]], form[name]
	case 4:
		form.Set(name, form.Get(name)+pick(rng, odd...))
	default:
		form.Set(name, pick(rng, odd...))
	}
}

// fill writes the form into the body, in most cases as a browser does.
func (d *draft) fill(rng *rand.Rand, form url.Values) {
	d.body = []byte(form.Encode())
	d.header.Set("Content-Type", "application/x-www-form-urlencoded")
	upload := strings.HasSuffix(d.path, "/photos") || strings.HasSuffix(d.path, "/imports")
	if upload && rng.IntN(4) > 0 || rng.IntN(30) == 0 {
		d.files(rng, form)
	}
	if rng.IntN(12) == 0 {
		d.header.Set("Idempotency-Key", pick(rng, "k", strconv.Itoa(rng.Int()), strings.Repeat("k", 201), "é", "a b", ""))
	}
	if rng.IntN(12) == 0 {
		d.header.Set("X-Axlestand-Outbox", "1")
	}
}

// files sends the form with files of many kinds.
func (d *draft) files(rng *rand.Rand, form url.Values) {
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(form)) {
		for _, value := range form[name] {
			_ = w.WriteField(name, value) // into memory
		}
	}
	for range rng.IntN(3) {
		head := textproto.MIMEHeader{}
		head.Set("Content-Disposition", fmt.Sprintf(`form-data; name=%q; filename=%q`, pick(rng, "photo", "file", "csv", "x"), pick(rng, "a.jpg", "a.csv", "../../a", "", "a\x00.jpg")))
		head.Set("Content-Type", pick(rng, "image/jpeg", "text/csv", "image/svg+xml", "x"))
		if part, err := w.CreatePart(head); err == nil {
			_, _ = part.Write([]byte(pick(rng, contents...)))
		}
	}
	_ = w.Close()
	d.body = b.Bytes()
	d.header.Set("Content-Type", w.FormDataContentType())
}

var contents = []string{
	"", "\xff\xd8\xff\xe0\x00\x10JFIF", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x7f\xff\xff\xff\x7f\xff\xff\xff\x08\x02\x00\x00\x00", "GIF89a\xff\xff\xff\xff\x80\x00\x00;",
	"<svg xmlns='http://www.w3.org/2000/svg'/>", "number,name,qty\nA-1,Arm,2\n", "number;name\n\"open", "\xef\xbb\xbfnumber\r\n=1+1\r\n", strings.Repeat("a,", 5000), "\x00\x01\x02",
}

// query adds to the address what its page may or may not read.
func (d *draft) query(rng *rand.Rand) {
	q := url.Values{}
	for range 1 + rng.IntN(3) {
		q.Add(pick(rng, "q", "show", "place", "car", "phase", "stage", "after", "at", "from", "on", "open", "back", "token", "job", "day", "for", "kind", "page", "to", "of", "x"), pick(rng, odd...))
	}
	sep := "?"
	if strings.Contains(d.path, "?") {
		sep = "&"
	}
	d.path += sep + q.Encode()
	if rng.IntN(10) == 0 {
		d.path += pick(rng, "&%zz", "&a;b", "&=", "&&&", "?")
	}
}

// mangle changes the request itself in a way that no browser would.
func (d *draft) mangle(rng *rand.Rand) {
	switch rng.IntN(12) {
	case 0:
		d.header.Set("Content-Type", pick(rng, "", "application/json", "text/plain", "multipart/form-data", "multipart/form-data; boundary=x", "application/x-www-form-urlencoded; charset=utf-16", ";;", "\x00"))
	case 1:
		d.body = append(d.body, pick(rng, "%", "%zz", "&", "&a%00=b", "\x00", "&=&=", ";", "&version=\xff")...)
	case 2:
		if len(d.body) > 0 {
			d.body = d.body[:rng.IntN(len(d.body))]
		}
	case 3:
		if len(d.body) > 0 {
			d.body[rng.IntN(len(d.body))] = byte(rng.UintN(256))
		}
	case 4:
		d.header.Add("Cookie", pick(rng, "axlestand_flash="+junk(rng), "axlestand_theme="+junk(rng), "axlestand_made="+junk(rng), "=;=,", "x=\"", "__Host-axlestand="+junk(rng)))
	case 5:
		d.host, d.oddHost = pick(rng, "elsewhere.test", "", "x:y:z", "localhost.elsewhere.test", "[::1"), true
	case 6:
		d.header.Set(pick(rng, "Origin", "Sec-Fetch-Site"), pick(rng, "null", "https://elsewhere.test", "cross-site", "same-site", "x"))
		d.oddOrigin = true
	case 7:
		d.header.Set(pick(rng, "X-Forwarded-For", "X-Forwarded-Proto", "X-Forwarded-Host", "Forwarded", "X-Real-IP", "X-HTTP-Method-Override", "Range", "If-None-Match", "If-Modified-Since", "Accept-Encoding", "Accept", "User-Agent", "Referer", "Expect"),
			pick(rng, "127.0.0.1", "https", "bytes=0-0,1-1,-5", "bytes=9-1", "*", "DELETE", "gzip", "br;q=0", strings.Repeat("a", 2000), "\xff", "W/\"x\"", "x"))
	case 8:
		d.method = pick(rng, http.MethodHead, http.MethodPut, http.MethodDelete, http.MethodOptions, http.MethodGet, http.MethodPost, "PROPFIND", "get")
	case 9:
		d.path = pick(rng, d.path+"/", "/"+d.path, strings.ToUpper(d.path), d.path+"%2f", d.path+"/..", d.path+"?", d.path+"#x", d.path+"%00", strings.Replace(d.path, "/", "/./", 1))
	case 10:
		d.query(rng)
	case 11:
		if rng.IntN(20) == 0 {
			d.body = append(d.body, []byte("&pad="+strings.Repeat("x", 1<<20))...)
		}
	}
}
