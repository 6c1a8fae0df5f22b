package ui

import (
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestQR_isRead lets a program that knows nothing of this one (ZBar's zbarimg, Debian package zbar-tools) read codes of every size.
// Where it is not installed the test is left out.
func TestQR_isRead(t *testing.T) {
	t.Parallel()
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("zbarimg is not installed")
	}
	for _, n := range []int{1, 14, 15, 26, 42, 43, 62, 84, 106, 107, 122, 152, 153, 180, 181, 213} {
		text := ("http://192.168.0.17:8080/bins/" + strings.Repeat("7aZ-", 60))[:n]
		file := filepath.Join(t.TempDir(), "code.png")
		drawQR(t, file, text)
		out, err := exec.CommandContext(t.Context(), reader, "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
		if got := strings.TrimSuffix(string(out), "\n"); err != nil || got != text {
			t.Errorf("%d bytes: read as %q, %v", n, got, err)
		}
	}
}

func drawQR(t *testing.T, file, text string) {
	t.Helper()
	q, err := encodeQR(text)
	if err != nil {
		t.Fatal(err)
	}
	const scale = 4
	side := (q.size + 2*qrQuiet) * scale
	picture := image.NewGray(image.Rect(0, 0, side, side))
	for y := range side {
		for x := range side {
			row, column := y/scale-qrQuiet, x/scale-qrQuiet
			shade := color.Gray{Y: 255}
			if row >= 0 && column >= 0 && row < q.size && column < q.size && q.dark[row][column] {
				shade.Y = 0
			}
			picture.SetGray(x, y, shade)
		}
	}
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close() //nolint:errcheck // the encoder says what is wrong
	if err := png.Encode(f, picture); err != nil {
		t.Fatal(err)
	}
}

// TestQR_check holds the check words against the worked example of ISO/IEC 18004, annex I: "01234567" at level M, from memory.
func TestQR_check(t *testing.T) {
	t.Parallel()
	data := []byte{0x10, 0x20, 0x0c, 0x56, 0x61, 0x80, 0xec, 0x11, 0xec, 0x11, 0xec, 0x11, 0xec, 0x11, 0xec, 0x11}
	want := []byte{0xa5, 0x24, 0xd4, 0xc1, 0xed, 0x36, 0xc7, 0x87, 0x2c, 0x55}
	if got := qrCheck(data, 10); string(got) != string(want) {
		t.Errorf("got % x, want % x", got, want)
	}
}

func TestQR(t *testing.T) {
	t.Parallel()
	svg := render(t, QR("http://garage.test/bins/3", "Opens bin A3")).Find("svg.qr")
	if svg.Attr("aria-label") != "Opens bin A3" || svg.Attr("role") != "img" {
		t.Errorf("it is called %q", svg.Attr("aria-label"))
	}
	if long := render(t, QR(strings.Repeat("x", 214), "")); long.Has("svg") || !strings.Contains(long.Text(), "xxx") {
		t.Errorf("too long for a code: %s", long.Text())
	}
}
