package main

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

// discreet makes a log that says of each line which request it belongs to, and shows no key: neither the secrets, nor
// whatever has the form of a key or of a session. People paste a key where an id belongs, and it must not stay in a log.
func discreet(log *slog.Logger, secrets ...string) *slog.Logger {
	if _, already := log.Handler().(*discreetHandler); already {
		return log
	}
	var pairs []string
	for _, s := range secrets {
		if s != "" {
			pairs = append(pairs, s, hidden)
		}
	}
	return slog.New(&discreetHandler{to: log.Handler(), known: strings.NewReplacer(pairs...)})
}

const hidden = "(not shown)"

// secretForm is what the random part of a key and of a session looks like (256 bits, five to a letter, and what somebody may have
// cut off): far longer than any id.
var secretForm = regexp.MustCompile(`(?:evenpull-)?[a-z2-7]{40,}[A-Za-z0-9_-]*|(?:EVENPULL-)?[A-Z2-7]{40,}[A-Za-z0-9_-]*`)

type discreetHandler struct {
	to    slog.Handler
	known *strings.Replacer
}

func (h *discreetHandler) Enabled(ctx context.Context, l slog.Level) bool {
	return h.to.Enabled(ctx, l)
}

func (h *discreetHandler) Handle(ctx context.Context, r slog.Record) error {
	clean := slog.NewRecord(r.Time, r.Level, h.text(r.Message), r.PC)
	if id, ok := ctx.Value(requestIDKey{}).(string); ok {
		clean.AddAttrs(slog.String("request", id))
	}
	r.Attrs(func(a slog.Attr) bool {
		clean.AddAttrs(h.attr(a))
		return true
	})
	return h.to.Handle(ctx, clean)
}

func (h *discreetHandler) WithAttrs(attrs []slog.Attr) slog.Handler {
	return &discreetHandler{to: h.to.WithAttrs(mapSlice(attrs, h.attr)), known: h.known}
}

func (h *discreetHandler) WithGroup(name string) slog.Handler {
	return &discreetHandler{to: h.to.WithGroup(name), known: h.known}
}

func (h *discreetHandler) text(s string) string {
	return secretForm.ReplaceAllString(h.known.Replace(s), hidden)
}

func (h *discreetHandler) attr(a slog.Attr) slog.Attr {
	switch v := a.Value.Resolve(); v.Kind() {
	case slog.KindString:
		return slog.String(a.Key, h.text(v.String()))
	case slog.KindGroup:
		return slog.Attr{Key: a.Key, Value: slog.GroupValue(mapSlice(v.Group(), h.attr)...)}
	case slog.KindAny:
		return slog.String(a.Key, h.text(fmt.Sprint(v.Any())))
	default:
		return slog.Attr{Key: a.Key, Value: v}
	}
}
