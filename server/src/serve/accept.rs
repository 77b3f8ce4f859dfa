//! Connections, so many and no more.

use std::future::Future;
use std::io;
use std::pin::Pin;

use axum_server::Control;
use axum_server::accept::Accept;
use tokio::net::TcpStream;

/// Accepts what another acceptor accepts, while not too many are open.
#[derive(Clone, Debug)]
pub(super) struct Limited<A> {
    inner: A,
    control: Control,
    most: usize,
}

impl<A> Limited<A> {
    pub(super) const fn new(inner: A, control: Control, most: usize) -> Limited<A> {
        Limited { inner, control, most }
    }
}

impl<A, S> Accept<TcpStream, S> for Limited<A>
where
    A: Accept<TcpStream, S>,
    A::Future: Send + 'static,
    A::Stream: Send + 'static,
    A::Service: Send + 'static,
{
    type Stream = A::Stream;
    type Service = A::Service;
    type Future =
        Pin<Box<dyn Future<Output = io::Result<(Self::Stream, Self::Service)>> + Send + 'static>>;

    fn accept(&self, stream: TcpStream, service: S) -> Self::Future {
        // The connection in hand is counted already.
        if self.control.connection_count() > self.most {
            let words = "as many connections are open as may";
            return Box::pin(std::future::ready(Err(io::Error::other(words))));
        }
        Box::pin(self.inner.accept(stream, service))
    }
}
