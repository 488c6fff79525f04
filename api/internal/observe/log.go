// Package observe is what the program tells of itself: its log, in which no key shows, its metrics, and the watch over
// every request that fills both.
package observe

import (
	"context"
	"fmt"
	"log/slog"
	"regexp"
	"strings"
)

type requestIDKey struct{}

func withRequestID(ctx context.Context, id string) context.Context {
	return context.WithValue(ctx, requestIDKey{}, id)
}

// Redacting makes a log that says of each line which request it belongs to, and shows no key: neither the secrets, nor
// whatever has the form of a key or of a session. People paste a key where an id belongs, and it must not stay in a
// log.
func Redacting(log *slog.Logger, secrets ...string) *slog.Logger {
	if _, already := log.Handler().(*redactingHandler); already {
		return log
	}
	var pairs []string
	for _, s := range secrets {
		if s != "" {
			pairs = append(pairs, s, redacted)
		}
	}
	return slog.New(&redactingHandler{log.Handler(), strings.NewReplacer(pairs...)})
}

const redacted = "(not shown)"

// secretForm is what the random part of a key and of a session looks like (256 bits, five to a letter, and what
// somebody may have cut off): far longer than any id.
var secretForm = regexp.MustCompile(
	`(?:evenpull-)?[a-z2-7]{40,}[A-Za-z0-9_-]*|(?:EVENPULL-)?[A-Z2-7]{40,}[A-Za-z0-9_-]*`)

type redactingHandler struct {
	slog.Handler
	known *strings.Replacer
}

func (h *redactingHandler) Handle(ctx context.Context, r slog.Record) error {
	clean := slog.NewRecord(r.Time, r.Level, h.text(r.Message), r.PC)
	if id, ok := ctx.Value(requestIDKey{}).(string); ok {
		clean.AddAttrs(slog.String("request", id))
	}
	r.Attrs(func(a slog.Attr) bool {
		clean.AddAttrs(h.attr(a))
		return true
	})
	return h.Handler.Handle(ctx, clean)
}

func (h *redactingHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	return &redactingHandler{h.Handler.WithAttrs(h.attrs(attrs)), h.known}
}

func (h *redactingHandler) WithGroup(name string) slog.Handler {
	return &redactingHandler{h.Handler.WithGroup(name), h.known}
}

func (h *redactingHandler) text(s string) string {
	return secretForm.ReplaceAllString(h.known.Replace(s), redacted)
}

func (h *redactingHandler) attrs(all []slog.Attr) []slog.Attr {
	clean := make([]slog.Attr, len(all))
	for i, a := range all {
		clean[i] = h.attr(a)
	}
	return clean
}

func (h *redactingHandler) attr(a slog.Attr) slog.Attr {
	switch v := a.Value.Resolve(); v.Kind() {
	case slog.KindString:
		return slog.String(a.Key, h.text(v.String()))
	case slog.KindGroup:
		return slog.Attr{Key: a.Key, Value: slog.GroupValue(h.attrs(v.Group())...)}
	case slog.KindAny:
		return slog.String(a.Key, h.text(fmt.Sprint(v.Any())))
	default:
		return slog.Attr{Key: a.Key, Value: v}
	}
}
