package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// sample is a picture that looks different in each of the eight orientations: a red top left, green top right, blue bottom left
// and white bottom right quarter, and a black bar on the left half of the top edge.
func sample(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	fill := func(x0, y0, x1, y1 int, c color.Color) {
		draw.Draw(img, image.Rect(x0, y0, x1, y1), image.NewUniform(c), image.Point{}, draw.Src)
	}
	fill(0, 0, w/2, h/2, color.RGBA{200, 30, 30, 255})
	fill(w/2, 0, w, h/2, color.RGBA{30, 160, 30, 255})
	fill(0, h/2, w/2, h, color.RGBA{30, 30, 200, 255})
	fill(w/2, h/2, w, h, color.White)
	fill(0, 0, w/2, h/8, color.Black)
	return img
}

// held is the picture as a camera stores it that was held in an orientation. The table of EXIF 2.32 (4.6.4 A) says where the first
// row and the first column of what is stored lie in the picture; that, and no code of this package, is what it goes by.
func held(img *image.RGBA, orientation int) *image.RGBA {
	row := map[int]string{1: "top", 2: "top", 3: "bottom", 4: "bottom", 5: "left", 6: "right", 7: "right", 8: "left"}[orientation]
	column := map[int]string{1: "left", 2: "right", 3: "right", 4: "left", 5: "top", 6: "top", 7: "bottom", 8: "bottom"}[orientation]
	w, h := img.Rect.Dx(), img.Rect.Dy()
	// Where a dot of the picture lies, counted from a side of it.
	from := map[string]func(x, y int) int{
		"top": func(_, y int) int { return y }, "bottom": func(_, y int) int { return h - 1 - y },
		"left": func(x, _ int) int { return x }, "right": func(x, _ int) int { return w - 1 - x },
	}
	size := image.Rect(0, 0, w, h)
	if orientation > 4 {
		size = image.Rect(0, 0, h, w)
	}
	out := image.NewRGBA(size)
	for y := range h {
		for x := range w {
			out.Set(from[column](x, y), from[row](x, y), img.At(x, y))
		}
	}
	return out
}

// exif is a TIFF structure with the camera's place and its orientation.
func exif(orientation int, order binary.ByteOrder) []byte {
	var b bytes.Buffer
	b.WriteString(map[bool]string{true: "II*\x00", false: "MM\x00*"}[order == binary.LittleEndian])
	write := func(values ...any) {
		for _, v := range values {
			if err := binary.Write(&b, order, v); err != nil {
				panic(err)
			}
		}
	}
	write(uint32(8), uint16(3))
	write(uint16(0x010f), uint16(2), uint32(4), []byte("Tern")) // maker
	write(uint16(0x0112), uint16(3), uint32(1), uint16(orientation), uint16(0))
	write(uint16(0x8825), uint16(4), uint32(1), uint32(50)) // where the directory of the place is
	write(uint32(0))
	b.WriteString("48 12 30 N 16 22 20 E")
	return b.Bytes()
}

// encoded is a picture as a JPEG with such a structure.
func withEXIF(jpg []byte, tiff []byte) []byte {
	segment := append([]byte("Exif\x00\x00"), tiff...)
	head := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(segment)+2))...)
	return append(append(head, segment...), jpg[2:]...)
}

func asJPEG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func decoded(t testing.TB, file []byte) image.Image {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal("what is kept is no JPEG:", err)
	}
	return img
}

// differ is the mean difference of two pictures of one size, of 255, over all dots and colours.
func differ(t testing.TB, got, want image.Image) float64 {
	t.Helper()
	if got.Bounds().Size() != want.Bounds().Size() {
		t.Fatalf("the picture is %v, want %v", got.Bounds().Size(), want.Bounds().Size())
	}
	var sum float64
	size := got.Bounds().Size()
	for y := range size.Y {
		for x := range size.X {
			r, g, b, _ := got.At(got.Bounds().Min.X+x, got.Bounds().Min.Y+y).RGBA()
			r2, g2, b2, _ := want.At(want.Bounds().Min.X+x, want.Bounds().Min.Y+y).RGBA()
			for _, d := range []int{int(r) - int(r2), int(g) - int(g2), int(b) - int(b2)} {
				sum += float64(max(d, -d)) / 257
			}
		}
	}
	return sum / float64(3*size.X*size.Y)
}

func TestMake_turns_upright(t *testing.T) {
	t.Parallel()
	want := sample(160, 96)
	for orientation := 1; orientation <= 8; orientation++ {
		for name, order := range map[string]binary.ByteOrder{"II": binary.LittleEndian, "MM": binary.BigEndian} {
			t.Run(fmt.Sprintf("JPEG %d %s", orientation, name), func(t *testing.T) {
				t.Parallel()
				file := withEXIF(asJPEG(t, held(want, orientation)), exif(orientation, order))
				p, err := Make(t.Context(), file)
				if err != nil {
					t.Fatal(err)
				}
				if p.Width != 160 || p.Height != 96 {
					t.Errorf("it is %d by %d, want 160 by 96", p.Width, p.Height)
				}
				if d := differ(t, decoded(t, p.Full), want); d > 4 {
					t.Errorf("it differs by %.1f of 255", d)
				}
				if bytes.Contains(p.Full, []byte("Exif")) || bytes.Contains(p.Full, []byte("48 12 30 N")) || bytes.Contains(p.Full, []byte("Tern")) {
					t.Error("where it was taken, or with what, is still in it")
				}
			})
		}
	}
}

// pngChunk is a chunk of a PNG file.
func pngChunk(kind string, data []byte) []byte {
	chunk := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	chunk = append(append(chunk, kind...), data...)
	return binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
}

func TestMake_turns_PNG_and_WebP_upright(t *testing.T) {
	t.Parallel()
	want := sample(160, 96)
	file := asPNG(t, held(want, 6))
	const header = 8 + 25 // signature and first chunk
	file = append(append(bytes.Clone(file[:header]), pngChunk("eXIf", exif(6, binary.BigEndian))...), file[header:]...)
	p, err := Make(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	if d := differ(t, decoded(t, p.Full), want); d > 4 {
		t.Errorf("the PNG differs by %.1f of 255", d)
	}
	for _, name := range []string{"lossy.webp", "lossless.webp"} {
		file := read(t, name)
		file = append(file, "EXIF"...)
		tiff := exif(3, binary.LittleEndian)
		file = append(binary.LittleEndian.AppendUint32(file, uint32(len(tiff))), tiff...)
		binary.LittleEndian.PutUint32(file[4:], uint32(len(file)-8))
		p, err := Make(t.Context(), file)
		if err != nil {
			t.Fatal(name, err)
		}
		if d := differ(t, decoded(t, p.Full), held(want, 3)); d > 5 {
			t.Errorf("%s differs by %.1f of 255", name, d)
		}
	}
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	file, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func TestMake_keeps_every_kind_of_picture(t *testing.T) {
	t.Parallel()
	want := sample(160, 96)
	grey := image.NewGray(want.Rect)
	draw.Draw(grey, grey.Rect, want, image.Point{}, draw.Src)
	palette := image.NewPaletted(want.Rect, color.Palette{color.Black, color.White, color.RGBA{200, 30, 30, 255}, color.RGBA{30, 160, 30, 255}, color.RGBA{30, 30, 200, 255}})
	draw.Draw(palette, palette.Rect, want, image.Point{}, draw.Src)
	deep := image.NewNRGBA64(want.Rect)
	draw.Draw(deep, deep.Rect, want, image.Point{}, draw.Src)
	glass := image.NewNRGBA(want.Rect) // the white quarter is a hole: what can be seen through is shown on white
	draw.Draw(glass, glass.Rect, want, image.Point{}, draw.Src)
	draw.Draw(glass, image.Rect(80, 48, 160, 96), image.Transparent, image.Point{}, draw.Src)
	for name, c := range map[string]struct {
		file []byte
		want image.Image
	}{
		"JPEG":                    {asJPEG(t, want), want},
		"grey JPEG":               {asJPEG(t, grey), grey},
		"PNG":                     {asPNG(t, want), want},
		"grey PNG":                {asPNG(t, grey), grey},
		"PNG with a palette":      {asPNG(t, palette), want},
		"PNG with 16 bits":        {asPNG(t, deep), want},
		"PNG to be seen through":  {asPNG(t, glass), want},
		"WebP":                    {read(t, "lossy.webp"), want},
		"WebP without loss":       {read(t, "lossless.webp"), want},
		"WebP to be seen through": {read(t, "glass.webp"), want},
		"JPEG in several passes":  {read(t, "progressive.jpg"), want},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			p, err := Make(t.Context(), c.file)
			if err != nil {
				t.Fatal(err)
			}
			if d := differ(t, decoded(t, p.Full), c.want); d > 5 {
				t.Errorf("it differs by %.1f of 255", d)
			}
		})
	}
}

func TestMake_shrinks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ w, h, fullW, fullH, smallW, smallH int }{
		{4000, 3000, 2560, 1920, 480, 360},
		{3000, 4000, 1920, 2560, 360, 480},
		{2560, 1440, 2560, 1440, 480, 270},
		{2561, 10, 2560, 10, 480, 2},
		{12000, 1, 2560, 1, 480, 1},
		{300, 200, 300, 200, 300, 200},
		{1, 1, 1, 1, 1, 1},
	} {
		want := sample(c.w, c.h)
		p, err := Make(t.Context(), asPNG(t, want))
		if err != nil {
			t.Fatalf("%d by %d: %v", c.w, c.h, err)
		}
		full, small := decoded(t, p.Full), decoded(t, p.Small)
		if got := full.Bounds().Size(); got != image.Pt(c.fullW, c.fullH) || got != image.Pt(p.Width, p.Height) {
			t.Errorf("%d by %d becomes %v", c.w, c.h, got)
		}
		if got := small.Bounds().Size(); got != image.Pt(c.smallW, c.smallH) {
			t.Errorf("%d by %d becomes %v when small", c.w, c.h, got)
		}
		if c.h > 100 {
			if d := differ(t, full, sample(c.fullW, c.fullH)); d > 2 {
				t.Errorf("%d by %d differs by %.1f of 255", c.w, c.h, d)
			}
		}
	}
}

// TestShrink_is_the_mean holds the scaling against the plain definition: each dot is the mean of the area that it covers.
func TestShrink_is_the_mean(t *testing.T) {
	t.Parallel()
	src := image.NewGray(image.Rect(0, 0, 7, 5))
	for i := range src.Pix {
		src.Pix[i] = uint8(i * 53)
	}
	got := shrink(src, 3)
	const fine = 15 * 14 // 7 and 3, 5 and 2 divide it
	for y := range got.Rect.Dy() {
		for x := range got.Rect.Dx() {
			sum, n := 0, 0
			for v := y * fine / got.Rect.Dy(); v < (y+1)*fine/got.Rect.Dy(); v++ {
				for u := x * fine / 3; u < (x+1)*fine/3; u++ {
					sum, n = sum+int(src.Pix[v*5/fine*7+u*7/fine]), n+1
				}
			}
			if mean, is := (sum+n/2)/n, int(got.RGBAAt(x, y).G); mean-is > 1 || is-mean > 1 {
				t.Errorf("at %d, %d it is %d, the mean is %d", x, y, is, mean)
			}
		}
	}
}

// pngHeader is a PNG file that claims a size and holds next to nothing.
func pngHeader(w, h uint32, depth, kind, interlaced byte) []byte {
	ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	ihdr = append(ihdr, depth, kind, 0, 0, interlaced)
	file := append([]byte("\x89PNG\r\n\x1a\n"), pngChunk("IHDR", ihdr)...)
	return append(append(file, pngChunk("IDAT", []byte("x\x9c"))...), pngChunk("IEND", nil)...)
}

// jpegHead is a JPEG that claims a size and ends.
func jpegHead(w, h uint16, frame byte) []byte {
	file := []byte{0xff, 0xd8, 0xff, frame, 0, 17, 8}
	file = binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(file, h), w)
	return append(file, 3, 1, 0x22, 0, 2, 0x11, 0, 3, 0x11, 0, 0xff, 0xda, 0, 12, 3, 1, 0, 2, 0, 3, 0, 0, 63, 0, 0xff, 0xd9)
}

func TestMake_refuses(t *testing.T) {
	t.Parallel()
	good := asJPEG(t, sample(64, 48))
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"nothing":                              {nil, "is empty"},
		"text":                                 {[]byte("wheel bolts, 120 Nm"), "not a photo"},
		"a drawing":                            {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`), "drawing (SVG)"},
		"a drawing with a declaration":         {[]byte("\xef\xbb\xbf<?xml version=\"1.0\"?>\n<svg/>"), "drawing (SVG)"},
		"a page":                               {[]byte("<!doctype html><script>alert(1)</script>"), "not a photo"},
		"a moving picture":                     {[]byte("GIF89a/*\x01\x00*/=1;alert(1)"), "GIF is not taken"},
		"a phone's own format":                 {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "HEIC"},
		"a document":                           {[]byte("%PDF-1.7\n\xff\xd8\xff"), "not a photo"},
		"an archive with a photo in it":        {append([]byte("PK\x03\x04"), good...), "not a photo"},
		"a photo behind a page":                {append([]byte("<html>"), good...), "not a photo"},
		"half a photo":                         {good[:len(good)/2], "damaged"},
		"the first bytes of one":               {[]byte("\xff\xd8\xff\xe0"), "damaged"},
		"a PNG of 50 gigapixels":               {pngHeader(250_000, 200_000, 8, 2, 0), "50 megapixels"},
		"a PNG whose size overflows":           {pngHeader(1<<31-1, 1<<31-1, 8, 2, 0), "50 megapixels"},
		"a PNG that is 2^32 wide by a hair":    {pngHeader(1<<16+1, 1<<16, 8, 2, 0), "50 megapixels"},
		"a PNG of no size":                     {pngHeader(0, 100, 8, 2, 0), "damaged"},
		"a PNG of 50.01 megapixels":            {pngHeader(10_000, 5_001, 8, 2, 0), "50 megapixels"},
		"a PNG of 50 megapixels with nothing":  {pngHeader(10_000, 5_000, 8, 2, 0), "damaged"},
		"one with 16 bits":                     {pngHeader(10_000, 5_000, 16, 2, 0), "memory"},
		"one in passes":                        {pngHeader(10_000, 5_000, 8, 6, 1), "memory"},
		"a JPEG of 4 gigapixels":               {jpegHead(65_535, 65_535, 0xc0), "50 megapixels"},
		"a JPEG in passes of 50 megapixels":    {jpegHead(10_000, 5_000, 0xc2), "memory"},
		"a JPEG of 50 megapixels with nothing": {jpegHead(10_000, 5_000, 0xc0), "damaged"},
		"a WebP of 200 megapixels":             {webpHead(14_000, 14_000), "50 megapixels"},
		"a WebP with another inside":           {smuggled(t), "damaged"},
		"one byte too many":                    {append(bytes.Clone(good), make([]byte, MaxBytes+1-len(good))...), "larger than 32 MB"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			_, err := Make(t.Context(), c.file)
			if !IsRefused(err) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want a refusal with %q", err, c.want)
			}
		})
	}
}

// webpHead is a WebP that claims a size (VP8 data format, 9.1) and ends.
func webpHead(w, h uint16) []byte {
	frame := []byte{0x30, 0x01, 0x00, 0x9d, 0x01, 0x2a}
	frame = binary.LittleEndian.AppendUint16(binary.LittleEndian.AppendUint16(frame, w), h)
	return webpFile("VP8 ", append(frame, make([]byte, 14)...))
}

func webpFile(kind string, chunk []byte) []byte {
	file := append([]byte("RIFF\x00\x00\x00\x00WEBP"), kind...)
	file = append(binary.LittleEndian.AppendUint32(file, uint32(len(chunk))), chunk...)
	binary.LittleEndian.PutUint32(file[4:], uint32(len(file)-8))
	return file
}

// smuggled is a WebP that says it is tiny and holds a large picture.
func smuggled(t *testing.T) []byte {
	t.Helper()
	file := webpFile("VP8X", []byte{0, 0, 0, 0, 1, 0, 0, 1, 0, 0})
	file = append(file, webpHead(14_000, 14_000)[12:]...)
	binary.LittleEndian.PutUint32(file[4:], uint32(len(file)-8))
	return file
}

// TestMake_leaves_out_what_hides_behind_a_picture: cameras put films behind photos, so such files are taken; what is kept is the
// picture alone.
func TestMake_leaves_out_what_hides_behind_a_picture(t *testing.T) {
	t.Parallel()
	hidden := []byte("PK\x03\x04<script>alert(document.cookie)</script><?php system($_GET[0]); ?>")
	good := asJPEG(t, sample(64, 48))
	comment := append([]byte{0xff, 0xfe}, binary.BigEndian.AppendUint16(nil, uint16(len(hidden)+2))...)
	commented := append(append(append(bytes.Clone(good[:2]), comment...), hidden...), good[2:]...)
	pictured := asPNG(t, sample(64, 48))
	text := append(append(bytes.Clone(pictured[:33]), pngChunk("tEXt", append([]byte("Comment\x00"), hidden...))...), pictured[33:]...)
	for name, file := range map[string][]byte{
		"behind a JPEG": append(bytes.Clone(good), hidden...), "in a JPEG's comment": commented,
		"behind a PNG": append(bytes.Clone(pictured), hidden...), "in a PNG's text": text,
	} {
		p, err := Make(t.Context(), file)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, kept := range [][]byte{p.Full, p.Small} {
			if bytes.Contains(kept, []byte("script")) || bytes.Contains(kept, []byte("PK\x03\x04")) {
				t.Errorf("%s: it is still there", name)
			}
		}
	}
}

func TestMake_takes_a_file_of_exactly_the_limit(t *testing.T) {
	t.Parallel()
	good := asJPEG(t, sample(64, 48))
	if _, err := Make(t.Context(), append(good, make([]byte, MaxBytes-len(good))...)); err != nil {
		t.Error(err)
	}
}

// TestMake_refuses_endless_passes: a file of a few kilobytes that has the picture gone over thousands of times.
func TestMake_refuses_endless_passes(t *testing.T) {
	t.Parallel()
	file := read(t, "progressive.jpg")
	first := bytes.Index(file, []byte{0xff, 0xda})
	pass := file[first : first+bytes.Index(file[first+2:], []byte{0xff, 0xda})+2]
	bomb := append(bytes.Clone(file[:first]), bytes.Repeat(pass, 5000)...)
	start := time.Now()
	_, err := Make(t.Context(), append(bomb, file[first:]...))
	if !IsRefused(err) {
		t.Error("it was taken:", err)
	}
	if took := time.Since(start); took > 2*time.Second {
		t.Error("it took", took)
	}
}

func TestMake_gives_up_when_nobody_waits(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Make(ctx, asJPEG(t, sample(64, 48))); !errors.Is(err, context.Canceled) {
		t.Error("got", err)
	}
}

func FuzzMake(f *testing.F) {
	for _, name := range []string{"lossy.webp", "lossless.webp", "glass.webp", "progressive.jpg"} {
		f.Add(read(f, name))
	}
	f.Add(withEXIF(asJPEG(f, sample(16, 16)), exif(6, binary.LittleEndian)))
	f.Add(asPNG(f, sample(16, 16)))
	f.Add(pngHeader(10, 10, 8, 2, 1))
	f.Fuzz(func(t *testing.T, file []byte) {
		if h, err := look(file); err == nil && h.width*h.height > 4_000_000 {
			return // slow, and what could go wrong does so with small ones too
		}
		p, err := Make(t.Context(), file)
		if err != nil && !IsRefused(err) {
			t.Error(err)
		}
		if err == nil && (max(p.Width, p.Height) > Longest || len(p.Small) == 0) {
			t.Errorf("it is %d by %d", p.Width, p.Height)
		}
	})
}

// BenchmarkMake says how long a photo takes and, as peak-MB, by how much memory in use grows at most meanwhile.
func BenchmarkMake(b *testing.B) {
	for name, file := range map[string][]byte{
		"12 megapixels JPEG": asJPEG(b, sample(4000, 3000)),
		"50 megapixels JPEG": asJPEG(b, sample(8660, 5773)),
		"50 megapixels PNG":  asPNG(b, sample(8660, 5773)),
	} {
		b.Run(name, func(b *testing.B) {
			peak := watchMemory()
			maker := NewMaker(1)
			b.SetParallelism(8) // that many wait for their turn
			b.RunParallel(func(pb *testing.PB) {
				for pb.Next() {
					if _, err := maker.Make(b.Context(), file); err != nil {
						b.Error(err)
					}
				}
			})
			b.ReportMetric(float64(peak())/(1<<20), "peak-MB")
		})
	}
}

// watchMemory samples the memory in use until the function that it returns is called, which says how much was added at most.
func watchMemory() func() uint64 {
	inUse := func() uint64 {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	runtime.GC()
	before, done, most := inUse(), make(chan struct{}), make(chan uint64)
	go func() {
		var top uint64
		for {
			select {
			case <-done:
				most <- top
				return
			case <-time.After(time.Millisecond):
				top = max(top, inUse())
			}
		}
	}()
	return func() uint64 {
		close(done)
		return <-most - before
	}
}
