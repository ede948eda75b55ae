/**
 * A sum that tells whether bytes are as they were: in it each four of them count differently. It finds damage, not malice.
 *
 * @param {Uint8Array} bytes a multiple of four, in place and in number
 */
export function wordSum(bytes) {
  const words = new Uint32Array(bytes.buffer, bytes.byteOffset, bytes.length / 4);
  let sum = 0;
  for (let index = 0; index < words.length; index++) sum = (Math.imul(sum, 31) + words[index]) | 0;
  return sum;
}
