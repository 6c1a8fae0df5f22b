package garage_test

import (
	"testing"

	"axlestand/internal/garage"
)

// Minor digits: ISO 4217, from memory.
func TestMinorDigits(t *testing.T) {
	t.Parallel()
	for currency, want := range map[string]int{"EUR": 2, "USD": 2, "CHF": 2, "JPY": 0, "KRW": 0, "ISK": 0, "HUF": 2, "KWD": 3, "TND": 3, "CLF": 4, "XYZ": 2} {
		if got := garage.MinorDigits(currency); got != want {
			t.Errorf("%s: got %d decimals, want %d", currency, got, want)
		}
	}
}

func TestParseMoney(t *testing.T) {
	t.Parallel()
	tests := []struct {
		typed, currency string
		want            int64
		refused         bool
	}{
		{"", "EUR", 0, false},
		{"12", "EUR", 1200, false},
		{"12.5", "EUR", 1250, false},
		{"12,50", "EUR", 1250, false},
		{" 12,50 EUR ", "EUR", 1250, false},
		{"1 234.50", "EUR", 123450, false},
		{"1\u202f234,50", "EUR", 123450, false},
		{"1'234.50", "CHF", 123450, false},
		{"1,234.50", "USD", 123450, false},
		{"1.234,50", "EUR", 123450, false},
		{"1.234.567,89", "EUR", 123456789, false},
		{"1,234", "EUR", 0, true}, // one thousand, or one and a bit
		{"1.234", "EUR", 0, true},
		{"1,234", "KWD", 1234, false},
		{"1250", "JPY", 1250, false},
		{"1250.0", "JPY", 0, true},
		{"1,250", "JPY", 0, true},
		{"-5", "EUR", 0, true},
		{"5 000 00", "EUR", 0, true},
		{"1.2.3", "EUR", 0, true},
		{"twelve", "EUR", 0, true},
		{"10000000000.00", "EUR", 1_000_000_000_000, false},
		{"10000000000.01", "EUR", 0, true},
		{"99999999999999999999", "EUR", 0, true},
	}
	for _, tt := range tests {
		got, wrong := garage.ParseMoney(tt.typed, tt.currency)
		if (wrong != "") != tt.refused || got != tt.want {
			t.Errorf("%q %s: got %d, %q; want %d, refused %v", tt.typed, tt.currency, got, wrong, tt.want, tt.refused)
		}
	}
}

func TestParseMoney_says_what_to_type(t *testing.T) {
	t.Parallel()
	for currency, want := range map[string]string{"EUR": "Write an amount like 12.50.", "JPY": "Write an amount like 12.", "KWD": "Write an amount like 12.500."} {
		if _, wrong := garage.ParseMoney("x", currency); wrong != want {
			t.Errorf("%s: got %q, want %q", currency, wrong, want)
		}
	}
}

func TestMoneyText(t *testing.T) {
	t.Parallel()
	tests := []struct {
		minor        int64
		currency     string
		figure, text string
	}{
		{0, "EUR", "0.00", "0.00\u00a0EUR"},
		{5, "EUR", "0.05", "0.05\u00a0EUR"},
		{123450, "EUR", "1234.50", "1234.50\u00a0EUR"},
		{1234567, "EUR", "12345.67", "12\u202f345.67\u00a0EUR"},
		{-1234567, "EUR", "-12345.67", "\u221212\u202f345.67\u00a0EUR"},
		{1234567, "JPY", "1234567", "1\u202f234\u202f567\u00a0JPY"},
		{1234567, "KWD", "1234.567", "1234.567\u00a0KWD"},
	}
	for _, tt := range tests {
		if got := garage.MoneyFigure(tt.minor, tt.currency); got != tt.figure {
			t.Errorf("figure of %d %s: got %q, want %q", tt.minor, tt.currency, got, tt.figure)
		}
		if got := garage.MoneyText(tt.minor, tt.currency); got != tt.text {
			t.Errorf("text of %d %s: got %q, want %q", tt.minor, tt.currency, got, tt.text)
		}
		if tt.minor < 0 {
			continue
		}
		for _, typed := range []string{tt.figure, tt.text} {
			if back, wrong := garage.ParseMoney(typed, tt.currency); wrong != "" || back != tt.minor {
				t.Errorf("%q read back: got %d, %q; want %d", typed, back, wrong, tt.minor)
			}
		}
	}
}
