package cost

import (
	"errors"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"axlestand/internal/trade/input"
)

// field is the name of the value that an error is about.
func field(err error) string {
	if e, ok := errors.AsType[*input.Error](err); ok && strings.HasSuffix(e.Sentence, ".") && !strings.Contains(e.Sentence, "%!") {
		return e.Field
	}
	return ""
}

func second[T any](_ T, err error) error { return err }

func eur(minor int64) Money { return Money{Minor: minor, Currency: "EUR"} }

func TestMoney(t *testing.T) {
	t.Parallel()
	if got, err := eur(100).Plus(eur(-250)); err != nil || got != eur(-150) {
		t.Errorf("got %v, %v", got, err)
	}
	if field(second(eur(1).Plus(Money{1, "CHF"}))) != "currency" || field(second(eur(maxMinor).Plus(eur(1)))) != "amount" || field(second(eur(maxMinor+1).Plus(eur(-5)))) != "amount" {
		t.Error("another currency, or too much, is added")
	}
}

// Computed; halves go away from zero.
func TestPart(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		minor int64
		rate  Millionths
		want  int64
	}{{21_350, 45_000, 961}, {22_311, 210_000, 4685}, {1, 500_000, 1}, {1, 499_999, 0}, {-1, 500_000, -1}, {3, 500_000, 2}, {-3, 500_000, -2}, {100, 0, 0}, {100, Whole, 100}, {7, maxRate, 70}} {
		if got, err := eur(c.minor).Part(c.rate); err != nil || got != eur(c.want) {
			t.Errorf("%d at %d: %v, %v, want %d", c.minor, c.rate, got, err, c.want)
		}
	}
	if field(second(eur(1).Part(-1))) != "rate" || field(second(eur(1).Part(maxRate+1))) != "rate" || field(second(eur(maxMinor).Part(2*Whole))) != "amount" {
		t.Error("a rate out of range, or too much, passes")
	}
}

// Whatever the figures, the result is the exact one rounded once: held against arithmetic of any size.
func TestScale_agrees_with_exact_arithmetic(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(1, 99))
	for range 20_000 {
		a, num, den := r.Int64N(maxMinor)-maxMinor/2, r.Int64N(10_000_000), 1+r.Int64N(10_000_000)
		exact := new(big.Int).Mul(big.NewInt(a), big.NewInt(num))
		twice := new(big.Int).Abs(exact)
		twice.Lsh(twice, 1).Add(twice, big.NewInt(den)).Quo(twice, big.NewInt(2*den))
		if exact.Sign() < 0 {
			twice.Neg(twice)
		}
		got, ok := scale(a, num, den)
		if fits := twice.IsInt64() && !over(twice.Int64()); ok != fits || ok && got != twice.Int64() {
			t.Fatalf("%d·%d/%d: %d, %v, want %s", a, num, den, got, ok, twice)
		}
	}
}

func TestParsePercent(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]Millionths{"4.5": 45_000, " 4,5 % ": 45_000, "21": 210_000, "0": 0, "0.0001": 1, "1000": maxRate, "19.6%": 196_000} {
		got, err := ParsePercent(typed)
		again, err2 := ParsePercent(got.String())
		if err != nil || err2 != nil || got != want || again != got {
			t.Errorf("%q: %d, %v, again %d, %v", typed, got, err, again, err2)
		}
	}
	for _, typed := range []string{"", "%", "4.", ".5", "-1", "1000.0001", "4.55555", "1,000.5", "4.5.1", "ten", "4.5%%"} {
		if got, err := ParsePercent(typed); field(err) != "percent" {
			t.Errorf("%q: %d, %v", typed, got, err)
		}
	}
	for rate, want := range map[Millionths]string{45_000: "4.5\u00a0%", 210_000: "21\u00a0%", 0: "0\u00a0%", 1: "0.0001\u00a0%", -766_900: "-76.69\u00a0%", maxRate: "1000\u00a0%", 100_000: "10\u00a0%"} {
		if rate.String() != want {
			t.Errorf("%d: %q, want %q", rate, rate, want)
		}
	}
}

func FuzzParsePercent(f *testing.F) {
	for _, s := range []string{"4.5 %", "0", "999.9999", "\xff"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) { readPercent(t, typed) })
}

func readPercent(t *testing.T, typed string) bool {
	got, err := ParsePercent(typed)
	if err != nil {
		if field(err) != "percent" {
			t.Errorf("%q: %v", typed, err)
		}
		return false
	}
	if again, err := ParsePercent(got.String()); err != nil || again != got || got < 0 || got > maxRate {
		t.Errorf("%q: read %d, again %d, %v", typed, got, again, err)
	}
	return true
}

func TestParsePercent_of_100_000_random_inputs(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 5))
	const alphabet = "0123456789012345678901234567.,% -x\xff"
	read := 0
	for range 100_000 {
		b := make([]byte, r.IntN(9))
		for i := range b {
			b[i] = alphabet[r.IntN(len(alphabet))]
		}
		if readPercent(t, string(b)) {
			read++
		}
	}
	if read < 1000 {
		t.Errorf("only %d of 100,000 were percentages: the inputs try too little", read)
	}
}

// Computed.
func TestExchange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		paid         int64
		rate         Billionths
		digits, into int
		want         int64
	}{
		{10_000, 1_084_200_000, 2, 2, 10_842},
		{10_000, 922_338_129, 2, 2, 9223},
		{12_500, 6_123_000, 0, 2, 7654}, // 12,500 of a currency without decimals: 76.5375
		{7654, 163_320_000_000, 2, 0, 12_501},
		{-100, 500_000_000, 2, 2, -50},
	} {
		if got, err := (Exchange{Paid: Money{c.paid, "XTS"}, Rate: c.rate}).In("EUR", c.digits, c.into); err != nil || got != eur(c.want) {
			t.Errorf("%+v: %v, %v", c, got, err)
		}
	}
	for _, c := range []struct {
		want     string
		rate     Billionths
		currency string
		digits   int
	}{{"rate", 0, "EUR", 2}, {"currency", 1, "", 2}, {"digits", 1, "EUR", 5}, {"digits", 1, "EUR", -1}, {"amount", 1 << 62, "EUR", 4}, {"amount", 2_000_000_000, "EUR", 0}} {
		if _, err := (Exchange{Paid: Money{maxMinor, "XTS"}, Rate: c.rate}).In(c.currency, 0, c.digits); field(err) != c.want {
			t.Errorf("%+v: %v", c, err)
		}
	}
}

// Computed: 74.46 over 120.00, 45.50 and 30.00 by largest remainder.
func TestAllocate(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		total         int64
		weights, want []int64
	}{
		{7446, []int64{12_000, 4550, 3000}, []int64{4570, 1733, 1143}},
		{100, []int64{1, 1, 1}, []int64{34, 33, 33}},
		{-100, []int64{1, 1, 1}, []int64{-34, -33, -33}},
		{5, []int64{0, 1, 0}, []int64{0, 5, 0}},
		{0, []int64{3, 4}, []int64{0, 0}},
		{1, []int64{1, 2}, []int64{0, 1}},
		{maxMinor, []int64{maxMinor, maxMinor}, []int64{maxMinor / 2, maxMinor / 2}},
	} {
		if got, err := Allocate(c.total, c.weights); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%d by %v: %v, %v, want %v", c.total, c.weights, got, err, c.want)
		}
	}
	for want, err := range map[string]error{"weights": second(Allocate(1, []int64{0, 0})), "amount": second(Allocate(maxMinor+1, []int64{1}))} {
		if field(err) != want {
			t.Errorf("%s: %v", want, err)
		}
	}
	if field(second(Allocate(1, nil))) != "weights" || field(second(Allocate(1, []int64{2, -1}))) != "weights" {
		t.Error("nothing, or less, to share by passes")
	}
}

// Rounding each share by itself gives 45.70, 17.33 and 11.43 only by luck: of 1.00 in three it makes 0.99.
func TestAllocate_does_not_round_one_by_one(t *testing.T) {
	t.Parallel()
	shares, _ := Allocate(100, []int64{1, 1, 1})
	alone, _ := scale(100, 1, 3)
	if sum := shares[0] + shares[1] + shares[2]; sum != 100 || 3*alone == 100 {
		t.Errorf("shares add up to %d, rounded ones to %d", sum, 3*alone)
	}
}

// The shares add up, each is less than one minor unit off the exact one, and more weight never gets less.
func TestAllocate_never_loses_a_cent(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(10, 0))
	for range 10_000 {
		weights := make([]int64, 1+r.IntN(20))
		sum := int64(0)
		for i := range weights {
			weights[i] = r.Int64N(1 << r.IntN(39))
			sum += weights[i]
		}
		total := r.Int64N(2_000_000) - 1_000_000
		shares, err := Allocate(total, weights)
		if sum == 0 {
			continue
		}
		added := int64(0)
		for i, s := range shares {
			added += s
			off := new(big.Int).Sub(new(big.Int).Mul(big.NewInt(s), big.NewInt(sum)), new(big.Int).Mul(big.NewInt(total), big.NewInt(weights[i])))
			if off.CmpAbs(big.NewInt(sum)) >= 0 {
				t.Fatalf("%d by %v: share %d is %d", total, weights, i, s)
			}
			for j := range i {
				if weights[j] > weights[i] && (shares[j] < s) == (total > 0) && shares[j] != s {
					t.Fatalf("%d by %v: %v, less weight gets more", total, weights, shares)
				}
			}
		}
		if err != nil || added != total {
			t.Fatalf("%d by %v: %v adds up to %d, %v", total, weights, shares, added, err)
		}
	}
}
