package member

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"driftdrill/cmd/driftdrill/browser/fetch"
)

// Here is the member whose session a page has: the server knows him by its cookie.
func Here(call string) (*Member, error) {
	if call == "" {
		return nil, errors.New("a club night needs a call")
	}
	return &Member{Call: call, wait: time.Second, tries: 1}, nil // the pages send again what is kept
}

// ask sends a request and returns the answer's status and text.
func (m *Member) ask(ctx context.Context, method, path string, q url.Values, body []byte) (int, []byte, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	headers := map[string]string{}
	if m.code != "" {
		headers[codeHeader] = m.code
	}
	status, text, err := fetch.Do(ctx, method, path+"?"+q.Encode(), headers, body)
	if err != nil {
		return 0, nil, fmt.Errorf("the club night does not answer: %s", strings.ToLower(err.Error()))
	}
	return status, text[:min(len(text), maxAnswer)], nil
}
