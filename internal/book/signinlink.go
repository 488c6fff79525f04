package book

import (
	"context"
	"crypto/hmac"
	"strings"
	"time"

	"evenpull/internal/fleet"
	"evenpull/internal/store"
)

// signInLinkLifetime is how long a link signs a browser in, from when it was made: long enough to hand a phone over.
// An assumption of our own.
const signInLinkLifetime = 10 * time.Minute

// NewSignInLink makes the secret of a link that signs one browser in with a key, once, and says until when. It takes
// the place of the key's link before. A key that never was is NotFound, one that has ended is a Conflict. It changes
// nothing of the fleet and is not in the history.
func (w *Writer) NewSignInLink(id string) (secret string, expires time.Time, err error) {
	key, err := w.tx.Key(id)
	if err != nil {
		return "", time.Time{}, err
	}
	if err := w.checkKeyValid(actorOf(key.Key)); err != nil {
		return "", time.Time{}, err
	}
	if err := w.tx.SweepSignInLinks(w.now); err != nil {
		return "", time.Time{}, err
	}
	secret, expires = randomToken()+"."+id, w.now.Add(signInLinkLifetime)
	return secret, expires, w.tx.PutSignInLink(store.SignInLink{KeyID: id, Hash: w.b.hash(secret), CreatedAt: w.now,
		ExpiresAt: expires})
}

// SpendSignInLink says whose key the secret of a link is of, and ends the link. It is not ok where the link was never
// made, was spent, has expired, or another has taken its place.
func (w *Writer) SpendSignInLink(secret string) (who fleet.Actor, ok bool, err error) {
	if who, ok, err = w.b.ownerOfSignInLink(&w.tx.Reads, secret, w.now); !ok || err != nil {
		return fleet.Actor{}, false, err
	}
	return who, true, w.tx.EndSignInLinkOf(who.KeyID)
}

// KnowsSignInLink says the same and spends nothing.
func (b *Book) KnowsSignInLink(ctx context.Context, secret string) (who fleet.Actor, ok bool, err error) {
	err = b.store.Read(ctx, func(r *store.Reads) (err error) {
		who, ok, err = b.ownerOfSignInLink(r, secret, b.timestamp())
		return err
	})
	return who, ok, err
}

// ownerOfSignInLink finds the link by the id in its secret and compares hashes in constant time, so that how long it
// takes tells nothing of the rest.
func (b *Book) ownerOfSignInLink(r *store.Reads, secret string, now time.Time) (fleet.Actor, bool, error) {
	_, id, _ := strings.Cut(secret, ".")
	link, err := r.SignInLinkOf(id)
	if link == nil || err != nil {
		return fleet.Actor{}, false, err
	}
	if !hmac.Equal(link.Hash, b.hash(secret)) || !now.Before(link.ExpiresAt) {
		return fleet.Actor{}, false, nil
	}
	key, err := r.Key(id)
	return actorOf(key.Key), err == nil && key.EndedAt == nil, err
}
