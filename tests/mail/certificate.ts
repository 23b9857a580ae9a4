/** A certificate that signs itself, made anew for each run: X.509 v3 in DER (RFC 5280), no key lies in the repository. */
import { generateKeyPairSync, sign } from 'node:crypto'

function der(tag: number, ...parts: Uint8Array[]): Buffer {
  const body = Buffer.concat(parts)
  const length = body.length
  const head = length < 128 ? [length] : length < 256 ? [0x81, length] : [0x82, length >> 8, length & 255]
  return Buffer.concat([Uint8Array.from([tag, ...head]), body])
}

const sequence = (...parts: Uint8Array[]) => der(0x30, ...parts)
const oid = (...bytes: number[]) => der(0x06, Uint8Array.from(bytes))
const text = (tag: number, value: string) => der(tag, Buffer.from(value, 'latin1'))
const octets = (value: Uint8Array) => der(0x04, value)

const ecdsaWithSha256 = sequence(oid(0x2a, 0x86, 0x48, 0xce, 0x3d, 0x04, 0x03, 0x02))
const commonName = oid(0x55, 0x04, 0x03)
const subjectAltName = oid(0x55, 0x1d, 0x11)
const basicConstraints = oid(0x55, 0x1d, 0x13)
const yes = der(0x01, Uint8Array.of(0xff))

/** Key and certificate of these host names, as PEM. */
export function selfSigned(...hosts: [string, ...string[]]): { key: string; cert: string } {
  const { privateKey, publicKey } = generateKeyPairSync('ec', { namedCurve: 'P-256' })
  const name = sequence(der(0x31, sequence(commonName, text(0x0c, hosts[0]))))
  const names = sequence(...hosts.map((host) => text(0x82, host)))
  const body = sequence(
    der(0xa0, der(0x02, Uint8Array.of(2))),
    der(0x02, Uint8Array.of(1)),
    ecdsaWithSha256,
    name,
    sequence(text(0x17, '200101000000Z'), text(0x17, '491231235959Z')),
    name,
    publicKey.export({ type: 'spki', format: 'der' }),
    der(
      0xa3,
      sequence(sequence(subjectAltName, octets(names)), sequence(basicConstraints, yes, octets(sequence(yes)))),
    ),
  )
  const signature = sign('sha256', body, privateKey)
  const whole = sequence(body, ecdsaWithSha256, der(0x03, Uint8Array.of(0), signature))
  const lines = whole.toString('base64').match(/.{1,64}/g) ?? []
  return {
    key: privateKey.export({ type: 'pkcs8', format: 'pem' }).toString(),
    cert: `-----BEGIN CERTIFICATE-----\n${lines.join('\n')}\n-----END CERTIFICATE-----\n`,
  }
}
