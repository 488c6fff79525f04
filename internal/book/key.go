package book

import (
	"context"
	"crypto/hmac"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"fmt"
	"strings"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// keyUseInterval is how long ago the use of a key must have been noted to be noted again: one write an hour, not one a
// request.
const keyUseInterval = time.Hour

// How long a request that reads waits for the use of its key to be noted, and how long after a failure that is not
// tried again.
const (
	keyUseTimeout    = 2 * time.Second
	keyUseRetryAfter = time.Minute
)

// pbkdf2Iterations is the number of iterations of PBKDF2-HMAC-SHA256: the figure of the OWASP Password Storage Cheat
// Sheet.
const pbkdf2Iterations = 600_000

// Keys lists every key there is or was, oldest first.
func (b *Book) Keys(ctx context.Context) ([]fleet.Key, error) {
	stored, err := read(ctx, b, (*store.Reads).Keys)
	return mapSlice(stored, func(k store.Key) fleet.Key { return k.Key }), err
}

// AddKey makes a key and returns it as it is listed, and the key itself this once. It is Invalid without a name or a
// role.
func (w *Writer) AddKey(name string, role fleet.Role) (made fleet.Key, key string, err error) {
	made = fleet.Key{Name: name, Role: role}
	made.Tidy()
	if err := made.Check().Err(); err != nil {
		return fleet.Key{}, "", err
	}
	made.ID, made.CreatedAt, key = w.b.newID(), w.now, newKey()
	if err := w.tx.AddKey(store.Key{Key: made, Hash: w.b.hash(key)}); err != nil {
		return fleet.Key{}, "", err
	}
	return made, key, w.record(fleet.ActAdded, fleet.OfKey, made.ID, nil, nil, made)
}

// EndKey ends a key and every session of it; one that has ended stays as it is. One that never was is NotFound. The
// last manager key is a Conflict, unless another is set from outside: nobody could make a new one.
func (w *Writer) EndKey(id string, setFromOutside bool) error {
	key, err := w.tx.Key(id)
	if err != nil || key.EndedAt != nil {
		return err
	}
	if key.Role == fleet.Manager && !setFromOutside {
		live, err := w.tx.LiveManagerKeys()
		if err != nil {
			return err
		}
		if live == 1 {
			return fleet.Errorf(fleet.Conflict,
				"%s is the last manager key, and nobody could make another: make the next one first", key.Name)
		}
	}
	if err := w.tx.EndKey(id, w.now); err != nil {
		return err
	}
	if err := w.tx.EndSessionsOf(id); err != nil {
		return err
	}
	if err := w.tx.EndSignInLinkOf(id); err != nil {
		return err
	}
	ended := key.Key
	ended.EndedAt = &w.now
	return w.record(fleet.ActEnded, fleet.OfKey, id, nil, key.Key, ended)
}

// FirstKey makes and stores a manager key when the database has none that holds, and returns it this once, with the
// secret of a link that signs one browser in with it; otherwise "".
func (b *Book) FirstKey(ctx context.Context) (key, link string, err error) {
	err = b.store.Write(ctx, func(tx *store.Tx) error {
		if found, err := tx.AnyKey(); found || err != nil {
			return err
		}
		w := b.writer(tx, fleet.TheProgram())
		made, secret, err := w.AddKey("first key", fleet.Manager)
		if err != nil {
			return err
		}
		key = secret
		link, _, err = w.NewSignInLink(made.ID)
		return err
	})
	if err != nil {
		return "", "", err
	}
	return key, link, nil
}

// NewManagerKey makes a manager key for whoever asks for one on the machine itself, and returns it this once. It is
// Invalid without a name.
func (b *Book) NewManagerKey(ctx context.Context, name string) (key string, err error) {
	err = b.store.Write(ctx, func(tx *store.Tx) error {
		_, key, err = b.writer(tx, fleet.TheCommandLine()).AddKey(name, fleet.Manager)
		return err
	})
	if err != nil {
		return "", err
	}
	return key, nil
}

// newKey carries 256 random bits: enough that a plain keyed hash keeps it safe, where a password would need a slow one.
func newKey() string { return "evenpull-" + randomToken() }

// randomToken carries 256 random bits in 52 letters and digits.
func randomToken() string {
	var bits [32]byte
	rand.Read(bits[:]) // never fails
	return strings.ToLower(base32.StdEncoding.WithPadding(base32.NoPadding).EncodeToString(bits[:]))
}

// hash is HMAC-SHA256 (RFC 2104) under the database's salt.
func (b *Book) hash(key string) []byte {
	mac := hmac.New(sha256.New, b.store.KeySalt())
	mac.Write([]byte(key))
	return mac.Sum(nil)
}

// SlowHash is PBKDF2-HMAC-SHA256 (RFC 8018) under the database's salt, for a key that people thought of. It takes a
// good part of a second: once a process is enough.
func (b *Book) SlowHash(key string) []byte { return slowHash(key, b.store.KeySalt()) }

func slowHash(key string, salt []byte) []byte {
	hash, err := pbkdf2.Key(sha256.New, key, salt, pbkdf2Iterations, sha256.Size)
	if err != nil {
		panic(fmt.Errorf("hashing a key slowly: %w", err)) // only of a length or a hash that are none
	}
	return hash
}

// KnowsKey says whether a key is stored here and has not ended, and whose it is. It is found by its hash: how long that
// takes tells nothing of the key. Nothing is kept of it in between, so that it ends at once.
func (b *Book) KnowsKey(ctx context.Context, key string) (who fleet.Actor, ok bool, err error) {
	found, err := read(ctx, b, func(r *store.Reads) (*store.Key, error) { return r.KeyByHash(b.hash(key)) })
	if found == nil || err != nil {
		return fleet.Actor{}, false, err
	}
	b.recordKeyUse(ctx, found.Key)
	return actorOf(found.Key), true, nil
}

func actorOf(k fleet.Key) fleet.Actor { return fleet.Actor{KeyID: k.ID, Name: k.Name, Role: k.Role} }

// recordKeyUse notes when a key was used last. Where that cannot be written, the key opens all the same.
func (b *Book) recordKeyUse(ctx context.Context, k fleet.Key) {
	now := b.timestamp()
	// within looks both ways: the clock may have been set back.
	within := func(interval time.Duration, at time.Time) bool { return now.Sub(at).Abs() < interval }
	if k.LastUsedAt != nil && within(keyUseInterval, *k.LastUsedAt) ||
		within(keyUseRetryAfter, time.UnixMicro(b.keyUseFailedAt.Load())) {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, keyUseTimeout)
	defer cancel()
	if err := b.store.Write(ctx, func(tx *store.Tx) error { return tx.UseKey(k.ID, now) }); err != nil {
		b.keyUseFailedAt.Store(now.UnixMicro())
		b.log.WarnContext(ctx, "the use of a key was not noted", "key", k.ID, "error", err)
	}
}
