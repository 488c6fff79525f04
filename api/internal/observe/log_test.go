package observe

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLog_RedactsWhatLooksLikeAKey(t *testing.T) {
	t.Parallel()
	var b bytes.Buffer
	plain := slog.New(slog.NewTextHandler(&b,
		&slog.HandlerOptions{ReplaceAttr: func(_ []string, a slog.Attr) slog.Attr {
			if a.Key == slog.TimeKey || a.Key == slog.LevelKey {
				return slog.Attr{}
			}
			return a
		}}))
	log := Redacting(plain, "open sesame, please", "")
	assert.Same(t, log, Redacting(log, "another"), "once is enough")
	const long = "abcdefghijklmnopqrstuvwxyz234567abcdefghijklmnopqrst"
	for _, c := range []struct {
		what string
		say  func()
		want string
	}{
		{"an ordinary line", func() { log.Info("a write", "path", "/v1/sleds/bluestem", "status", 201) },
			`msg="a write" path=/v1/sleds/bluestem status=201`},
		{"a set key in a message", func() { log.Info("it was open sesame, please") }, `msg="it was (not shown)"`},
		{"a key in an error", func() { log.Warn("failed", "error", errors.New("no key "+long)) },
			`msg=failed error="no key (not shown)"`},
		{"a key as it is written", func() { log.Warn("failed", "path", "/v1/keys/evenpull-"+long+"/x") },
			`msg=failed path="/v1/keys/(not shown)/x"`},
		{"a key in capitals", func() { log.Warn("failed", "path", strings.ToUpper(long)) },
			`msg=failed path="(not shown)"`},
		{"a key in a group", func() { log.Info("m", slog.Group("g", "k", long, "n", 1)) },
			`msg=m g.k="(not shown)" g.n=1`},
		{"a key with the logger", func() { log.With("k", long).WithGroup("g").Info("m", "k", long) },
			`msg=m k="(not shown)" g.k="(not shown)"`},
		{"a request", func() { log.InfoContext(withRequestID(context.Background(), "r-1"), "m") }, `msg=m request=r-1`},
		{"names that break lines", func() { log.Info("m", "path", "/a\nmsg=forged\u202e") },
			`msg=m path="/a\nmsg=forged\u202e"`},
	} {
		b.Reset()
		c.say()
		assert.Equal(t, c.want+"\n", b.String(), c.what)
	}
	require.True(t, log.Enabled(context.Background(), slog.LevelInfo))
	require.False(t, log.Enabled(context.Background(), slog.LevelDebug))
}
