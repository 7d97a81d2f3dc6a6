//! Reads a body piece by piece, counts it as sent and as decompressed, and stops at the caps.

use std::io::{self, Write};

use brotli_decompressor::DecompressorWriter;
use flate2::write::MultiGzDecoder;

/// What the client offers in Accept-Encoding, and what [`Decoder`] reads.
pub(super) const ACCEPT_ENCODING: &str = "gzip, br";

/// Brotli's output buffer in bytes; it bounds how far a decoder runs past the cap.
const BROTLI_BUFFER_BYTES: usize = 16 << 10;

/// Why a body was not read to its end.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum BodyFault {
    /// More than this many bytes were sent.
    SentOver(usize),
    /// More than this many bytes came out of decompression.
    UnpackedOver(usize),
    /// The bytes are not what Content-Encoding says, or broke off.
    Damaged(String),
}

/// Takes the pieces of one body in order.
pub(super) struct BodyReader {
    decoder: Decoder,
    sent: usize,
    sent_cap: usize,
}

enum Decoder {
    Identity(Capped),
    Gzip(Box<MultiGzDecoder<Capped>>),
    Brotli(Box<DecompressorWriter<Capped>>),
}

impl BodyReader {
    /// A reader for a body with this Content-Encoding; caps in bytes.
    pub(super) fn new(
        content_encoding: Option<&str>,
        sent_cap: usize,
        unpacked_cap: usize,
    ) -> Result<Self, BodyFault> {
        let sink = Capped {
            bytes: Vec::new(),
            cap: unpacked_cap,
            over: false,
        };
        let coding = content_encoding.unwrap_or("").trim().to_ascii_lowercase();
        let decoder = match coding.as_str() {
            "" | "identity" => Decoder::Identity(sink),
            // RFC 9110 section 8.4.1.3 makes x-gzip the same.
            "gzip" | "x-gzip" => Decoder::Gzip(Box::new(MultiGzDecoder::new(sink))),
            "br" => Decoder::Brotli(Box::new(DecompressorWriter::new(sink, BROTLI_BUFFER_BYTES))),
            _ => {
                let cause = "it is compressed in a way that was not asked for";
                return Err(BodyFault::Damaged(cause.to_owned()));
            }
        };
        Ok(Self {
            decoder,
            sent: 0,
            sent_cap,
        })
    }

    /// Takes the next piece as it was sent.
    pub(super) fn take(&mut self, piece: &[u8]) -> Result<(), BodyFault> {
        self.sent = self.sent.saturating_add(piece.len());
        if self.sent > self.sent_cap {
            return Err(BodyFault::SentOver(self.sent_cap));
        }
        let written = match &mut self.decoder {
            Decoder::Identity(sink) => sink.write_all(piece),
            Decoder::Gzip(decoder) => write_until_end(decoder, piece),
            Decoder::Brotli(decoder) => write_until_end(decoder, piece),
        };
        written.map_err(|fault| self.fault(&fault))
    }

    /// The whole body, decompressed.
    pub(super) fn finish(mut self) -> Result<Vec<u8>, BodyFault> {
        // An answer without a body may still name the encoding that its body would have had.
        if self.sent == 0 {
            return Ok(Vec::new());
        }
        let ended = match &mut self.decoder {
            Decoder::Identity(_) => Ok(()),
            Decoder::Gzip(decoder) => decoder.try_finish(),
            Decoder::Brotli(decoder) => decoder.close(),
        };
        ended.map_err(|fault| self.fault(&fault))?;
        Ok(std::mem::take(&mut self.sink_mut().bytes))
    }

    fn fault(&mut self, fault: &io::Error) -> BodyFault {
        let sink = self.sink_mut();
        if sink.over {
            BodyFault::UnpackedOver(sink.cap)
        } else {
            BodyFault::Damaged(format!("decompression failed: {fault}"))
        }
    }

    fn sink_mut(&mut self) -> &mut Capped {
        match &mut self.decoder {
            Decoder::Identity(sink) => sink,
            Decoder::Gzip(decoder) => decoder.get_mut(),
            Decoder::Brotli(decoder) => decoder.get_mut(),
        }
    }
}

/// Like `write_all`, but bytes after the end of the compressed stream are passed over.
fn write_until_end(decoder: &mut impl Write, mut piece: &[u8]) -> io::Result<()> {
    while !piece.is_empty() {
        match decoder.write(piece)? {
            0 => break,
            taken => piece = &piece[taken..],
        }
    }
    Ok(())
}

/// Collects bytes and fails as soon as there would be more than the cap.
struct Capped {
    bytes: Vec<u8>,
    cap: usize,
    over: bool,
}

impl Write for Capped {
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        if self.over || piece.len() > self.cap - self.bytes.len() {
            self.over = true;
            return Err(io::Error::other("over the cap"));
        }
        self.bytes.extend_from_slice(piece);
        Ok(piece.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}
