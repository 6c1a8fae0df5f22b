package server

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	_ "embed"
	"encoding/base64"
	"errors"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// The cost of one guess: RFC 9106 argon2id with 19 MiB, two passes and one lane, the least that OWASP's password storage
// cheat sheet recommends (figures from memory).
const (
	argonTime   = 2
	argonMemory = 19 * 1024 // KiB
	argonLanes  = 1
	argonKey    = 32
	argonSalt   = 16
)

const (
	minPassword = 8
	maxPassword = 200
)

// atOnce bounds how many passwords are hashed at the same time, and so the memory that guessing can take.
var atOnce = make(chan struct{}, 2)

func argon(password string, salt []byte, time, memory uint32, lanes uint8, size uint32) []byte {
	atOnce <- struct{}{}
	defer func() { <-atOnce }()
	key := argon2.IDKey([]byte(password), salt, time, memory, lanes, size)
	// Signing in is rare; its memory would otherwise stay with the process for minutes.
	debug.FreeOSMemory()
	return key
}

// HashPassword is what is stored of a password, in the usual text form of argon2.
func HashPassword(password string) string {
	salt := make([]byte, argonSalt)
	rand.Read(salt) //nolint:errcheck // never fails
	key := argon(password, salt, argonTime, argonMemory, argonLanes, argonKey)
	b64 := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, argonMemory, argonTime, argonLanes,
		b64.EncodeToString(salt), b64.EncodeToString(key))
}

// passwordFits says whether a password is the one stored.
func passwordFits(stored, password string) (bool, error) {
	part := strings.Split(stored, "$")
	if len(part) != 6 || part[1] != "argon2id" || part[2] != fmt.Sprintf("v=%d", argon2.Version) {
		return false, errors.New("stored password is not argon2id")
	}
	var memory, time uint32
	var lanes uint8
	if _, err := fmt.Sscanf(part[3], "m=%d,t=%d,p=%d", &memory, &time, &lanes); err != nil {
		return false, fmt.Errorf("stored password: %w", err)
	}
	salt, err1 := base64.RawStdEncoding.DecodeString(part[4])
	key, err2 := base64.RawStdEncoding.DecodeString(part[5])
	if err := errors.Join(err1, err2); err != nil || len(key) == 0 {
		return false, fmt.Errorf("stored password: %w", err)
	}
	if len(password) > maxPassword*utf8.UTFMax {
		return false, nil
	}
	return subtle.ConstantTimeCompare(key, argon(password, salt, time, memory, lanes, uint32(len(key)))) == 1, nil
}

//go:embed common.txt
var commonWords string

var common = func() map[string]bool {
	set := map[string]bool{}
	for word := range strings.FieldsSeq(commonWords) {
		set[word] = true
	}
	return set
}()

// commonHashes are the first six bytes of the SHA-256 of the passwords that guessers try first: the 5,000 most used of eight
// letters or more in the list of leaked ones that comes with zxcvbn 4.4.2. As hashes, since nobody wants to read what people
// choose.
//
//go:embed common_hashes.txt
var commonHashes string

var commonHashed = func() map[string]bool {
	set := map[string]bool{}
	for hash := range strings.FieldsSeq(commonHashes) {
		set[hash] = true
	}
	return set
}()

func oftenGuessed(word string) bool {
	sum := sha256.Sum256([]byte(word))
	return common[word] || commonHashed[base64.URLEncoding.EncodeToString(sum[:6])]
}

// PasswordProblem says what is wrong with a new password as a sentence for the owner, or nothing.
func PasswordProblem(password string) string {
	switch n := utf8.RuneCountInString(password); {
	case n < minPassword:
		return "At least 8 characters."
	case n > maxPassword:
		return "At most 200 characters."
	case isCommon(password):
		return "Too many people use that one, so it is guessed first. Choose another: four words of your own do well."
	}
	return ""
}

// isCommon finds passwords of the list, also with other capitals, figures for letters, and figures or signs around them;
// and runs such as 12345678 or aaaaaaaa.
func isCommon(password string) bool {
	lower := strings.ToLower(password)
	core := strings.TrimFunc(lower, func(r rune) bool { return !unicode.IsLetter(r) })
	plain := strings.NewReplacer("0", "o", "1", "i", "3", "e", "4", "a", "5", "s", "7", "t", "@", "a", "$", "s", "!", "i")
	return slices.ContainsFunc([]string{lower, core, plain.Replace(lower), plain.Replace(core)}, oftenGuessed) || isRun(lower)
}

// isRun says whether each character is followed by itself, the next one or the one before, all the way.
func isRun(s string) bool {
	runes := []rune(s)
	if len(runes) < 2 {
		return true
	}
	step := runes[1] - runes[0]
	if step < -1 || step > 1 {
		return false
	}
	for i := 1; i < len(runes); i++ {
		if runes[i]-runes[i-1] != step {
			return false
		}
	}
	return true
}
