package server

import (
	"encoding/base64"
	"encoding/hex"
	"runtime"
	"strings"
	"testing"

	"golang.org/x/crypto/argon2"
)

func TestPasswordProblem(t *testing.T) {
	t.Parallel()
	for password, fine := range map[string]bool{
		"four tins of grease":     true,
		"kardanwelle":             true,
		"Schraubenschlüssel13":    true,
		"ÄÖÜäöüßß":                true, // eight characters, more bytes
		"1234567":                 false,
		"ÄÖÜäöüß":                 false, // seven characters, more bytes
		"password":                false,
		"Password1":               false,
		"P@ssw0rd!":               false,
		"12345678":                false,
		"87654321":                false,
		"aaaaaaaaaa":              false,
		"abcdefghij":              false,
		"qwertyuiop":              false,
		"Sommer2027":              false,
		"!!axlestand!!":           false,
		"mygarage99":              false,
		"slipknot":                false,
		"Trustno1trustno1":        true,
		strings.Repeat("ab", 100): true,
		strings.Repeat("ab", 101): false,
	} {
		if got := PasswordProblem(password); (got == "") != fine {
			t.Errorf("%q: %q", password, got)
		}
	}
}

func TestCommonWordsAreLowerCase(t *testing.T) {
	t.Parallel()
	if len(common) < 200 {
		t.Errorf("%d words", len(common))
	}
	for word := range common {
		if word != strings.ToLower(word) {
			t.Errorf("%q is never found", word)
		}
	}
}

func TestPasswordFits(t *testing.T) {
	t.Parallel()
	hash := HashPassword(ownersPassword)
	if !strings.HasPrefix(hash, "$argon2id$v=19$m=19456,t=2,p=1$") {
		t.Errorf("stored as %s", hash)
	}
	for password, want := range map[string]bool{ownersPassword: true, ownersPassword + " ": false, "": false, strings.Repeat("x", 1e6): false} {
		if got, err := passwordFits(hash, password); got != want || err != nil {
			t.Errorf("%.20q: %v, %v", password, got, err)
		}
	}
	if again := HashPassword(ownersPassword); again == hash {
		t.Error("two hashes of one password are alike: no salt")
	}
	for _, broken := range []string{"", "plain", "$argon2i$v=19$m=8,t=1,p=1$YWFh$YWFh", "$argon2id$v=19$m=x$YWFh$YWFh", "$argon2id$v=19$m=8,t=1,p=1$YWFh$"} {
		if fits, err := passwordFits(broken, "plain"); fits || err == nil {
			t.Errorf("%q: %v, %v; want an error", broken, fits, err)
		}
	}
}

// TestArgonIsTheStandards holds the library to a value of the reference implementation's own tests (phc-winner-argon2,
// src/test.c: version 0x13, t=2, m=2^16, p=1, type id), from memory.
func TestArgonIsTheStandards(t *testing.T) {
	t.Parallel()
	const want = "09316115d5cf24ed5a15a31a3ba326e5cf32edc24702987c02b6566f61913cf7"
	if got := hex.EncodeToString(argon2.IDKey([]byte("password"), []byte("somesalt"), 2, 1<<16, 1, 32)); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestPasswordGivesItsMemoryBack(t *testing.T) {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range 5 {
		HashPassword("four tins of grease")
	}
	runtime.ReadMemStats(&after)
	kept := int64(after.HeapSys-after.HeapReleased) - int64(before.HeapSys-before.HeapReleased)
	if kept > 8<<20 {
		t.Errorf("%d MiB more are held after five passwords, want at most 8", kept>>20)
	}
}

func TestCodeHash(t *testing.T) {
	t.Parallel()
	want := string(CodeHash("ABCDOIB7"))
	for _, typed := range []string{"abcd-oib7", " ABCD OIB7 ", "abcd018 7", "ABCD–OIB7"} {
		if string(CodeHash(typed)) != want {
			t.Errorf("%q is not taken for the code", typed)
		}
	}
	if string(CodeHash("ABCDOIB6")) == want {
		t.Error("another code is taken for it")
	}
}

func TestTokenHash(t *testing.T) {
	t.Parallel()
	for _, sent := range []string{"", "x", "!!", base64.RawURLEncoding.EncodeToString(make([]byte, 31)), base64.RawURLEncoding.EncodeToString(make([]byte, 33))} {
		if tokenHash(sent) != nil {
			t.Errorf("%q is taken for a token", sent)
		}
	}
}
