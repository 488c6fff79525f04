package book

import (
	"context"
	"crypto/subtle"
	"errors"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// sessionLifetime is how long a browser stays signed in. An assumption of our own.
const sessionLifetime = 30 * 24 * time.Hour

// OpenSession signs a browser in as who, and returns the token that it is to send, this once, and until when it holds.
// Where who has no key of the database it is the key that is set from outside, of which the fingerprint is then
// remembered. A key that has ended is a Conflict. It changes nothing of the fleet and is not in the history.
func (w *Writer) OpenSession(who fleet.Actor, fingerprint []byte) (token string, expires time.Time, err error) {
	token = randomToken()
	s := store.Session{Hash: w.b.hash(token), KeyID: who.KeyID, CreatedAt: w.now, ExpiresAt: w.now.Add(sessionLifetime)}
	if err := w.checkKeyValid(who); err != nil {
		return "", time.Time{}, err
	}
	if who.KeyID == "" {
		if s.Fingerprint = fingerprint; len(fingerprint) == 0 {
			return "", time.Time{}, errors.New("a session of the key set from outside needs its fingerprint")
		}
	}
	if err := w.tx.SweepSessions(w.now); err != nil {
		return "", time.Time{}, err
	}
	return token, s.ExpiresAt, w.tx.AddSession(s)
}

// Session says who is signed in with a token, and until when. It is not ok where the time is up, the key has ended, or
// the key set from outside, of which the fingerprint is given, is no longer the one that signed in.
func (b *Book) Session(
	ctx context.Context, token string, fingerprint []byte,
) (who fleet.Actor, expires time.Time, ok bool, err error) {
	var found *store.Session
	var key *fleet.Key
	err = b.store.Read(ctx, func(r *store.Reads) (err error) {
		if found, err = r.SessionByHash(b.hash(token)); found == nil || err != nil || found.KeyID == "" {
			return err
		}
		stored, err := r.Key(found.KeyID)
		key = &stored.Key
		return err
	})
	if found == nil || err != nil || !b.timestamp().Before(found.ExpiresAt) {
		return fleet.Actor{}, time.Time{}, false, err
	}
	switch {
	case key != nil && key.EndedAt == nil:
		b.recordKeyUse(ctx, *key)
		return actorOf(*key), found.ExpiresAt, true, nil
	case key == nil && subtle.ConstantTimeCompare(found.Fingerprint, fingerprint) == 1:
		return fleet.TheSetKey(), found.ExpiresAt, true, nil
	}
	return fleet.Actor{}, time.Time{}, false, nil
}

// EndSession signs out the browser with that token, on a full disk too. One that is not signed in stays so.
func (b *Book) EndSession(ctx context.Context, token string) error {
	return b.store.WriteFromReserve(ctx, func(tx *store.Tx) error { return tx.EndSession(b.hash(token)) })
}
