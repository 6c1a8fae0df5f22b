package garage_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"axlestand/internal/garage"
)

func TestParseNumbers(t *testing.T) {
	t.Parallel()
	tests := []struct {
		typed string
		want  []garage.PartNumber
	}{
		{"", nil},
		{" , ;\n", nil},
		{"QL 33-1042 A, 77.041/2", []garage.PartNumber{{Number: "QL 33-1042 A"}, {Number: "77.041/2"}}},
		{"Reed & Hale: 77.041/2", []garage.PartNumber{{Whose: "Reed & Hale", Number: "77.041/2"}}},
		{"QL 33 A > QL 33 B → QL 33 C", []garage.PartNumber{
			{Number: "QL 33 A", ReplacedBy: "QL 33 B"}, {Number: "QL 33 B", ReplacedBy: "QL 33 C"}, {Number: "QL 33 C"},
		}},
		{"maker: 1 > 2\r\n3", []garage.PartNumber{{Whose: "maker", Number: "1", ReplacedBy: "2"}, {Whose: "maker", Number: "2"}, {Number: "3"}}},
		{":7", []garage.PartNumber{{Number: ":7"}}},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, garage.ParseNumbers(tt.typed)); diff != "" {
			t.Errorf("%q (-want +got):\n%s", tt.typed, diff)
		}
	}
}

func TestNewestNumber(t *testing.T) {
	t.Parallel()
	numbers := garage.ParseNumbers("QL 33-A > QL33B > QL 33 C, x > y, y > x")
	for from, want := range map[string]string{"ql33a": "QL 33 C", "QL 33 C": "QL 33 C", "unknown": "unknown", "x": "x"} {
		if got := garage.NewestNumber(from, numbers); got != want {
			t.Errorf("from %s: got %s, want %s", from, got, want)
		}
	}
}
