//go:build !js

package member

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/url"
)

// ask sends a request and returns the answer's status and text.
func (m *Member) ask(ctx context.Context, method, path string, q url.Values, body []byte) (int, []byte, error) {
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	u := m.base
	u.Path, u.RawQuery = path, q.Encode()
	r, err := http.NewRequestWithContext(ctx, method, u.String(), bytes.NewReader(body))
	if err != nil {
		return 0, nil, err
	}
	r.Header.Set(codeHeader, m.code)
	res, err := http.DefaultClient.Do(r)
	if err != nil {
		return 0, nil, fmt.Errorf("the club night at %s does not answer: %w", m.base.Host, err)
	}
	defer res.Body.Close()
	text, err := io.ReadAll(io.LimitReader(res.Body, maxAnswer))
	return res.StatusCode, text, err
}
