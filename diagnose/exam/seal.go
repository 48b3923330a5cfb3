package exam

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"math/big"
	"strings"
	"unicode/utf8"

	"filippo.io/age"
	"filippo.io/age/armor"
	"golang.org/x/crypto/scrypt"
)

// Sealing is done by the age format with a passphrase (scrypt recipient,
// https://age-encryption.org/v1), so that any age program opens a key as well. The nonces
// of a sealed file are the one thing in this package that neither a seed nor an argument
// gives: two sealings of the same key differ.

// LeastPassphrase is the least length of a passphrase, in letters. Whoever has a packet
// can try out passphrases for as long as they like. Common practice, no source.
const LeastPassphrase = 12

// WorkFactor is the usual base-two logarithm of the scrypt work: a second or so for every
// passphrase that is tried (age's own choice). Greater ones up to MostWork are opened.
const (
	WorkFactor = 18
	MostWork   = 22
)

// ErrPassphrase says that a key does not open.
var ErrPassphrase = errors.New("the passphrase does not open this key; a forgotten one cannot be recovered by anybody")

// LeastDifferent is how many different letters a passphrase has at least. Common practice,
// no source.
const LeastDifferent = 6

// ErrShort says that a passphrase is too short, ErrPlain that it is one letter over and over.
var (
	ErrShort = fmt.Errorf("a passphrase of at least %d letters is needed: whoever has a packet can try out short ones by machine", LeastPassphrase)
	ErrPlain = fmt.Errorf("a passphrase with at least %d different letters is needed: the same ones over and over are tried first", LeastDifferent)
)

// CheckPassphrase refuses a passphrase that is soon tried out.
func CheckPassphrase(passphrase string) error {
	if utf8.RuneCountInString(passphrase) < LeastPassphrase {
		return ErrShort
	}
	different := make(map[rune]bool)
	for _, r := range passphrase {
		different[r] = true
	}
	if len(different) < LeastDifferent {
		return ErrPlain
	}
	return nil
}

// Offer makes up a passphrase that is easily written down and read out: six words of two
// syllables, 2 × 6 × log2(17 × 5) = 77 bits of chance.
func Offer(random io.Reader) (string, error) {
	const consonants, vowels = "bdfghjklmnprstvwz", "aeiou"
	const words, syllables = 6, 2
	letter := func(of string) (byte, error) {
		i, err := rand.Int(random, big.NewInt(int64(len(of))))
		if err != nil {
			return 0, err
		}
		return of[i.Int64()], nil
	}
	var b strings.Builder
	for i := range words * syllables {
		if i > 0 && i%syllables == 0 {
			b.WriteByte('-')
		}
		for _, of := range []string{consonants, vowels} {
			c, err := letter(of)
			if err != nil {
				return "", err
			}
			b.WriteByte(c)
		}
	}
	return b.String(), nil
}

// Seal encrypts with a passphrase and a work factor from 1 to MostWork, as text.
func Seal(plain []byte, passphrase string, work int) (string, error) {
	if work < 1 || work > MostWork {
		return "", fmt.Errorf("the work factor goes from 1 to %d, not %d", MostWork, work)
	}
	recipient, err := age.NewScryptRecipient(passphrase)
	if err != nil {
		return "", err
	}
	recipient.SetWorkFactor(work)
	var b bytes.Buffer
	a := armor.NewWriter(&b)
	w, err := age.Encrypt(a, recipient)
	if err != nil {
		return "", err
	}
	if _, err := w.Write(plain); err != nil {
		return "", err
	}
	if err := errors.Join(w.Close(), a.Close()); err != nil {
		return "", err
	}
	return b.String(), nil
}

// Open decrypts what Seal made. The error is ErrPassphrase where the passphrase is not
// the one; any other says that the text is damaged.
func Open(sealed, passphrase string) ([]byte, error) {
	identity, err := age.NewScryptIdentity(passphrase)
	if err != nil {
		return nil, ErrPassphrase
	}
	identity.SetMaxWorkFactor(MostWork)
	r, err := age.Decrypt(armor.NewReader(bytes.NewReader([]byte(sealed))), identity)
	var none *age.NoIdentityMatchError
	switch {
	case errors.As(err, &none):
		return nil, ErrPassphrase
	case err != nil:
		return nil, fmt.Errorf("the sealed key is damaged: %w", err)
	}
	plain, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("the sealed key is damaged: %w", err)
	}
	return plain, nil
}

// Stretch makes the 32 bytes that all choices of an exam are drawn from out of the seed
// and the passphrase: the same two give the same exam, and nobody can try out seeds
// without the passphrase. The work is that of the seal.
func Stretch(seed, passphrase string, work int) ([32]byte, error) {
	key, err := scrypt.Key([]byte(passphrase), []byte("deadrung exam, seed "+seed), 1<<work, 8, 1, 32)
	if err != nil {
		return [32]byte{}, err
	}
	return [32]byte(key), nil
}
