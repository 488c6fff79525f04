package reply

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/openapi"
)

// Refusal is an error that only HTTP knows: a wrong type of body, a missing key.
type Refusal struct {
	Status int
	Detail string
	Header http.Header // what else the answer says
}

func (r *Refusal) Error() string { return r.Detail }

// Refuse makes a refusal.
func Refuse(status int, format string, args ...any) *Refusal {
	return &Refusal{Status: status, Detail: fmt.Sprintf(format, args...), Header: http.Header{}}
}

// OneOf lists what could have been sent instead of what is refused: "a, b or c".
func OneOf[T any](values []T, word func(T) string) string {
	list := ""
	for i, v := range values {
		switch i {
		case 0:
		case len(values) - 1:
			list += " or "
		default:
			list += ", "
		}
		list += word(v)
	}
	return list
}

// statusOf is the one place where what went wrong becomes an HTTP status.
var statusOf = map[fleet.Kind]int{
	fleet.Internal:    http.StatusInternalServerError,
	fleet.Unreadable:  http.StatusBadRequest,
	fleet.Invalid:     http.StatusUnprocessableEntity,
	fleet.NotFound:    http.StatusNotFound,
	fleet.Conflict:    http.StatusConflict,
	fleet.Changed:     http.StatusPreconditionFailed,
	fleet.NoCondition: http.StatusPreconditionRequired,
	fleet.Unavailable: http.StatusServiceUnavailable,
	fleet.Full:        http.StatusInsufficientStorage,
}

// tryAgainSeconds is how long to wait before trying again when the storage cannot be used.
const tryAgainSeconds = 5

// problemFor turns any error into a problem document (RFC 9457). What is the program's own fault shows nothing but
// the request's id, under which the log has the rest.
func problemFor(err error, requestID string) (openapi.Problem, http.Header) {
	header := http.Header{}
	var (
		ours    *fleet.Error
		refused *Refusal
		large   *http.MaxBytesError
		echos   *echo.HTTPError
	)
	switch {
	case errors.As(err, &ours) && ours.Kind != fleet.Internal:
		p := problem(statusOf[ours.Kind], ours.Detail)
		if len(ours.Faults) > 0 {
			faults := make([]openapi.Fault, len(ours.Faults))
			for i, f := range ours.Faults {
				faults[i] = openapi.Fault{At: f.At, Detail: f.Detail}
				if f.Code != "" {
					faults[i].Code = new(openapi.FaultCode(f.Code))
				}
				if f.Row != 0 {
					faults[i].Row = &f.Row
				}
			}
			p.Errors = faults
			for _, code := range ours.Codes {
				p.Codes = append(p.Codes, openapi.FaultCode(code))
			}
			if ours.Total != 0 {
				p.FaultsTotal = &ours.Total
			}
		}
		if ours.Kind == fleet.Unavailable {
			header.Set("Retry-After", strconv.Itoa(tryAgainSeconds))
		}
		return p, header
	case errors.As(err, &refused):
		return problem(refused.Status, refused.Detail), refused.Header
	case errors.As(err, &large):
		return problem(http.StatusRequestEntityTooLarge,
			fmt.Sprintf("the body is larger than %d MiB", large.Limit>>20)), header
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		header.Set("Retry-After", strconv.Itoa(tryAgainSeconds))
		return problem(http.StatusServiceUnavailable, "the request ended before its answer was ready"), header
	case errors.As(err, &echos) && echos.Code == http.StatusNotFound:
		return problem(echos.Code, "there is nothing at this address; /openapi.yaml says what there is"), header
	case errors.As(err, &echos) && echos.Code == http.StatusMethodNotAllowed:
		return problem(echos.Code, "this address cannot be used in this way; the Allow header says how it can"), header
	case errors.As(err, &echos) && echos.Code < http.StatusInternalServerError:
		return problem(echos.Code, fmt.Sprint(echos.Message)), header
	}
	return problem(http.StatusInternalServerError,
		"something went wrong inside; the log has it under request "+requestID), header
}

// withUpload is an error about an upload, with how that is understood.
type withUpload struct {
	error
	upload *openapi.Upload
}

func (e *withUpload) Unwrap() error { return e.error }

// WithUpload adds to the problem document of an error how the upload that it is about is understood.
func WithUpload(err error, upload *openapi.Upload) error { return &withUpload{err, upload} }

// problem names its kind by the status: a reference to the page that explains the answers.
func problem(status int, detail string) openapi.Problem {
	return openapi.Problem{
		Type:   "/worked-out#problem-" + strconv.Itoa(status),
		Title:  http.StatusText(status),
		Status: status,
		Detail: detail,
	}
}

// Problems answers every error there is with a problem document, Echo's own included. failed is told what failed
// inside: internal, unavailable or full.
func Problems(log *slog.Logger, failed func(kind string)) echo.HTTPErrorHandler {
	return func(err error, c echo.Context) {
		if c.Response().Committed {
			return
		}
		ctx := c.Request().Context()
		id := c.Response().Header().Get(echo.HeaderXRequestID)
		p, header := problemFor(err, id)
		p.Request = id
		var about *withUpload
		if errors.As(err, &about) {
			p.Upload = about.upload
		}
		if kind, ours := failureOf[p.Status]; ours {
			level := slog.LevelError
			if errors.Is(err, context.Canceled) { // whoever asked has gone away
				level = slog.LevelInfo
			} else {
				failed(kind)
			}
			log.Log(ctx, level, "request failed", "error", err)
		}
		for name, values := range header {
			c.Response().Header()[name] = values
		}
		body, _ := json.Marshal(p) // plain text and numbers: it cannot fail
		c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
		if err := c.Blob(p.Status, "application/problem+json", body); err != nil {
			log.WarnContext(ctx, "problem not sent", "error", err)
		}
	}
}

// failureOf is what the metrics call the statuses that say the program is in trouble.
var failureOf = map[int]string{
	http.StatusInternalServerError: "internal", http.StatusServiceUnavailable: "unavailable",
	http.StatusInsufficientStorage: "full",
}
