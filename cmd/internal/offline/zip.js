// A zip of files that are stored as they are (PKWARE's application note, section
// 4.3: local headers, central directory, end record). Photos are compressed
// already, and tables are small.

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
  return n;
});

function crc32(bytes) {
  let c = 0xffffffff;
  for (const b of bytes) c = crcTable[(c ^ b) & 255] ^ (c >>> 8);
  return (c ^ 0xffffffff) >>> 0;
}

// little writes numbers, each with its width in bytes, least byte first.
function little(...pairs) {
  const bytes = [];
  for (const [n, width] of pairs) for (let i = 0; i < width; i++) bytes.push(Math.floor(n / 256 ** i) & 255);
  return Uint8Array.from(bytes);
}

const UTF8 = 0x0800, DAY = 0x0021; // names are UTF-8; all files are of 1 January 1980

function zip(files) {
  const parts = [], directory = [];
  let at = 0;
  const add = (bytes) => { parts.push(bytes); at += bytes.length; };
  for (const { name, bytes } of files) {
    const path = new TextEncoder().encode(name);
    const about = [[20, 2], [UTF8, 2], [0, 2], [0, 2], [DAY, 2], [crc32(bytes), 4], [bytes.length, 4], [bytes.length, 4], [path.length, 2], [0, 2]];
    directory.push(little([0x02014b50, 4], [20, 2], ...about, [0, 2], [0, 2], [0, 2], [0, 4], [at, 4]), path);
    add(little([0x04034b50, 4], ...about));
    add(path);
    add(bytes);
  }
  const start = at;
  directory.forEach(add);
  add(little([0x06054b50, 4], [0, 2], [0, 2], [files.length, 2], [files.length, 2], [at - start, 4], [start, 4], [0, 2]));
  return new Blob(parts, { type: "application/zip" });
}
