package book

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"strings"
	"time"

	"evenpull/internal/store"
)

// Manager is the role that may do everything.
const Manager = "manager"

// keyUseNoted is how long ago the use of a key must have been noted to be noted again: one write an hour, not one a
// request.
const keyUseNoted = time.Hour

// FirstKey makes and stores a manager key when the database has none, and returns it this once; otherwise "".
func (b *Book) FirstKey(ctx context.Context) (key string, err error) {
	err = b.store.Write(ctx, func(tx *store.Tx) error {
		if found, err := tx.AnyKey(); found || err != nil {
			return err
		}
		key = newKey()
		return tx.AddKey(store.Key{ID: b.newID(), Name: "first key", Role: Manager, Hash: b.hash(key), CreatedAt: b.stamp()})
	})
	if err != nil {
		return "", err
	}
	return key, nil
}

// newKey carries 256 random bits: enough that a plain keyed hash keeps it safe, where a password would need a slow one.
func newKey() string {
	var bits [32]byte
	rand.Read(bits[:]) // never fails
	return "evenpull-" + strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(bits[:]))
}

// hash is HMAC-SHA256 (RFC 2104) under the database's salt.
func (b *Book) hash(key string) []byte {
	mac := hmac.New(sha256.New, b.store.KeySalt())
	mac.Write([]byte(key))
	return mac.Sum(nil)
}

// KnowsKey says whether a key is stored here, and its role. It is found by its hash: how long that takes tells
// nothing of the key.
func (b *Book) KnowsKey(ctx context.Context, key string) (role string, ok bool, err error) {
	var found *store.Key
	err = b.store.Read(ctx, func(r *store.Reads) (err error) {
		found, err = r.KeyByHash(b.hash(key))
		return err
	})
	if found == nil || err != nil {
		return "", false, err
	}
	if now := b.stamp(); found.LastUsedAt == nil || now.Sub(*found.LastUsedAt) >= keyUseNoted {
		if err := b.store.Write(ctx, func(tx *store.Tx) error { return tx.UseKey(found.ID, now) }); err != nil {
			b.log.WarnContext(ctx, "the use of a key was not noted", "key", found.ID, "error", err)
		}
	}
	return found.Role, true, nil
}
