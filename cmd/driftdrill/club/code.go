package club

import (
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"math/big"
	"strings"
)

// codeWords are short, said as they are written, and unlike each other by ear.
var codeWords = []string{"acorn", "amber", "anchor", "apple", "badger", "basket", "beacon", "birch", "bramble", "bridge", "brook", "candle",
	"canvas", "cedar", "chestnut", "clover", "copper", "cotton", "dipper", "dune", "ember", "falcon", "feather", "fern", "field", "flint",
	"garden", "ginger", "granite", "harbour", "hazel", "heather", "heron", "honey", "island", "ivory", "juniper", "kettle", "lantern",
	"lemon", "linen", "magpie", "maple", "meadow", "mirror", "nettle", "oak", "olive", "orchard", "otter", "pebble", "pepper", "plover",
	"quarry", "river", "saddle", "silver", "sparrow", "thistle", "timber", "valley", "velvet", "walnut", "willow"}

func draw(n int) (int, error) {
	i, err := rand.Int(rand.Reader, big.NewInt(int64(n)))
	if err != nil {
		return 0, err
	}
	return int(i.Int64()), nil
}

// NewCode makes a code of words and a number of two digits, such as "heron 42"
// with one word: what can be read off a wall and typed. One word gives 5,760
// codes, three 23 million; guessing is slowed to some ten tries a minute.
func NewCode(words int) (string, error) {
	var parts []string
	for range words {
		i, err := draw(len(codeWords))
		if err != nil {
			return "", err
		}
		parts = append(parts, codeWords[i])
	}
	n, err := draw(90)
	if err != nil {
		return "", err
	}
	return strings.Join(append(parts, fmt.Sprint(10+n)), " "), nil
}

// plainCode leaves out what people type differently: case, spaces, hyphens.
func plainCode(code string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' || r == '_' || r == '\t' {
			return -1
		}
		return r
	}, strings.ToLower(code))
}

// sameCode compares two codes in a time that does not depend on where they differ.
func sameCode(given, right string) bool {
	a, b := sha256.Sum256([]byte(plainCode(given))), sha256.Sum256([]byte(plainCode(right)))
	return subtle.ConstantTimeCompare(a[:], b[:]) == 1 && plainCode(right) != ""
}

// newToken makes the secret of a session: 128 bits.
func newToken() (string, error) {
	b := make([]byte, 16)
	if _, err := rand.Read(b); err != nil {
		return "", err
	}
	return hex.EncodeToString(b), nil
}

// tokenKey is what the book keeps of a session's secret: nobody who reads the
// book can take over a session.
func tokenKey(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}
