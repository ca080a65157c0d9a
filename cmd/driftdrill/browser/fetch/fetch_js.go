// Package fetch asks the server that a page came from, through the browser. It
// needs no network library in the program: that weighs more than the desk.
package fetch

import (
	"context"
	"errors"
	"syscall/js"
)

// Do sends a request and returns the answer's status and body. It must not be
// called from within one of the browser's events.
func Do(ctx context.Context, method, url string, headers map[string]string, body []byte) (status int, answer []byte, err error) {
	abort := js.Global().Get("AbortController").New()
	options := map[string]any{"method": method, "signal": abort.Get("signal"), "credentials": "same-origin", "redirect": "error"}
	fields := map[string]any{}
	for k, v := range headers {
		fields[k] = v
	}
	options["headers"] = fields
	if body != nil {
		bytes := js.Global().Get("Uint8Array").New(len(body))
		js.CopyBytesToJS(bytes, body)
		options["body"] = bytes
	}
	response, err := await(ctx, abort, js.Global().Call("fetch", url, options))
	if err != nil {
		return 0, nil, err
	}
	buffer, err := await(ctx, abort, response.Call("arrayBuffer"))
	if err != nil {
		return 0, nil, err
	}
	bytes := js.Global().Get("Uint8Array").New(buffer)
	answer = make([]byte, bytes.Length())
	js.CopyBytesToGo(answer, bytes)
	return response.Get("status").Int(), answer, nil
}

// await waits for a promise.
func await(ctx context.Context, abort, promise js.Value) (js.Value, error) {
	type result struct {
		value js.Value
		err   error
	}
	done := make(chan result, 1)
	kept := js.FuncOf(func(_ js.Value, a []js.Value) any { done <- result{value: a[0]}; return nil })
	broken := js.FuncOf(func(_ js.Value, a []js.Value) any {
		done <- result{err: errors.New(a[0].Get("message").String())}
		return nil
	})
	promise.Call("then", kept, broken)
	var r result
	select {
	case r = <-done:
	case <-ctx.Done():
		abort.Call("abort")
		<-done
		r.err = ctx.Err()
	}
	kept.Release()
	broken.Release()
	return r.value, r.err
}
