package ui

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"testing"
)

// TestQR_codes holds codes of every size against fingerprints of their modules. Each of these codes was drawn and read back, byte for
// byte, by a program that knows nothing of this one: zbarimg of ZBar 0.23.92.
func TestQR_codes(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]string{
		1:   "9d1dde5ac05151b2",
		14:  "70a57c0297e4c797",
		15:  "ccc4638d36c7f22a",
		26:  "ed0ca0ce5f965526",
		42:  "b857599a4bff1cfa",
		43:  "23367ea43c4a16f5",
		62:  "65b573853ff74f07",
		84:  "c63b93bacd405e11",
		106: "bd480c47e80256e3",
		107: "c2004579f8713614",
		122: "d716320eed8a4ae6",
		152: "60c2deb2f2a46b3d",
		153: "55fc1ba5d71c9585",
		180: "f3972b060e398aa5",
		181: "c75e2d2cae80c705",
		213: "973a99ff32b285de",
	} {
		q, err := encodeQR(("http://192.168.0.17:8080/bins/" + strings.Repeat("7aZ-", 60))[:n])
		if err != nil {
			t.Fatal(err)
		}
		sum := sha256.New()
		for _, row := range q.dark {
			for _, dark := range row {
				if dark {
					sum.Write([]byte("1"))
				} else {
					sum.Write([]byte("0"))
				}
			}
		}
		if got := hex.EncodeToString(sum.Sum(nil))[:16]; got != want {
			t.Errorf("%d bytes: %s, want %s", n, got, want)
		}
	}
	if _, err := encodeQR(strings.Repeat("x", 214)); err == nil {
		t.Error("more than fits was laid out")
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
